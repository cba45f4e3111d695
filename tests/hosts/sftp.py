"""OpenSSH's own server, with keys and known hosts in a home folder made for the test."""

from __future__ import annotations

import contextlib
import getpass
import os
import subprocess
from collections.abc import Iterator
from pathlib import Path

from hosts import LOOPBACK, Host, free_port, need, running


@contextlib.contextmanager
def serve(place: Path, *, read_only: bool = False) -> Iterator[Host]:
    sshd = need("sshd", "openssh-server")
    keygen = need("ssh-keygen", "openssh-client")
    port = free_port()
    home, stranger, root = place / "home", place / "stranger", place / "root"
    for folder in (home / ".ssh", stranger / ".ssh", root):
        folder.mkdir(parents=True)
    host_key, user_key, other_key = place / "host", home / ".ssh/id_ed25519", (
        stranger / ".ssh/id_ed25519"
    )  # fmt: skip
    for key in (host_key, user_key, other_key):
        subprocess.run([keygen, "-q", "-t", "ed25519", "-N", "", "-f", str(key)], check=True)
    (place / "allowed").write_bytes(user_key.with_suffix(".pub").read_bytes())
    known = f"[{LOOPBACK}]:{port} {host_key.with_suffix('.pub').read_text()}"
    for folder in (home, stranger):
        (folder / ".ssh/known_hosts").write_text(known)
    config = place / "sshd_config"
    config.write_text(
        f"ListenAddress {LOOPBACK}\nPort {port}\nHostKey {host_key}\nPidFile none\n"
        f"AuthorizedKeysFile {place / 'allowed'}\nStrictModes no\nUsePAM no\n"
        "PasswordAuthentication no\nKbdInteractiveAuthentication no\nPermitRootLogin yes\n"
        f"Subsystem sftp internal-sftp{' -R' if read_only else ''}\n"
    )
    if os.geteuid() == 0:
        Path("/run/sshd").mkdir(exist_ok=True)
    with running([sshd, "-D", "-e", "-f", str(config)], port, place / "log"):
        yield Host(
            f"sftp://{getpass.getuser()}@{LOOPBACK}:{port}{root}",
            port,
            root,
            environ={"HOME": str(home), "SSH_AUTH_SOCK": ""},
            wrong={"HOME": str(stranger), "SSH_AUTH_SOCK": "", "SITEGEN_PASSWORD": "drizzle-77"},
            secret="drizzle-77",
        )
