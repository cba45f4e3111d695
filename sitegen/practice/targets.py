"""Which kinds of targets there are, and which file of `sitegen.publish` reaches each.

One line a kind: from it follow what `check` accepts and what a slip is compared with, from which
folder a path begins, and what `publish` loads. A new kind is such a line and its file.
"""

from __future__ import annotations

from typing import NamedTuple


class TargetKind(NamedTuple):
    """A kind of target.

    Attributes:
        schemes: What may stand before ``://``.
        module: The file in ``sitegen/publish/``, loaded when something is published there. It has
            ``open_store(address, environ)`` of a `sitegen.publish.store.Store`; or, where files
            are not sent one by one, ``publish_to(site, target, settings)``, which reports.
        is_local: What follows ``scheme:`` is a path on this computer. Where it is relative, it
            begins as a plain folder's does: in ``practice.yaml`` beside the practice's folder.
    """

    schemes: tuple[str, ...]
    module: str
    is_local: bool = False


TARGETS = (
    TargetKind(("file",), "store"),
    TargetKind(("git+ssh", "git+https", "git+file"), "branch"),
    TargetKind(("sftp", "ssh"), "store_sftp"),
    TargetKind(("ftp", "ftps"), "store_ftp"),
    TargetKind(("webdav+https", "webdav+http"), "store_webdav"),
    TargetKind(("s3", "s3a", "gs", "gcs", "abfs", "abfss", "az", "memory"), "store_fsspec"),
)
"""There are others, of fsspec: a scheme that no line has is looked for there."""

FOLDER, ANY_HOST = TARGETS[0], TARGETS[-1]
BY_SCHEME = {scheme: kind for kind in TARGETS for scheme in kind.schemes}


def kind_of_scheme(scheme: str) -> TargetKind:
    """The kind of a target; without a scheme it is a folder."""
    return BY_SCHEME.get(scheme, ANY_HOST) if scheme else FOLDER
