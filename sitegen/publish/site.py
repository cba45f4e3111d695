"""The built site that is to be published: paths and their bytes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

from sitegen.publish.fault import refusal
from sitegen.publish.report import PublishProblem

NEEDED = ("index.html", "robots.txt")
OWN_PREFIX = ".sitegen-"
LITTER = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})  # left by file managers


class SiteFiles(Mapping[str, bytes]):
    """A folder read as a site: relative path → bytes, each read when it is asked for."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._paths = tuple(
            sorted(
                path.relative_to(folder).as_posix()
                for path in folder.rglob("*")
                if path.is_file() and not path.is_symlink() and path.name not in LITTER
            )
        )

    def __getitem__(self, path: str) -> bytes:
        if path not in self._paths:
            raise KeyError(path)
        return (self.folder / path).read_bytes()

    def __iter__(self) -> Iterator[str]:
        return iter(self._paths)

    def __len__(self) -> int:
        return len(self._paths)


def check_site(site: Mapping[str, bytes]) -> None:
    """Refuse what is no built site, before it could empty a host or give a secret away.

    Raises:
        PublishError: A file is missing that every built site has, or one is there that none has.
    """
    missing = [path for path in NEEDED if path not in site]
    if missing:
        raise refusal(
            PublishProblem(
                f"this is no built site: it has no {missing[0]}",
                "run sitegen build first, then publish the folder it wrote",
                "site-form",
            )
        )
    for path in site:
        parts = path.split("/")
        if path.endswith((".yaml", ".yml")):
            raise refusal(
                PublishProblem(
                    "a client or settings file lies in the site, and it must never be published",
                    "move it out of the folder, then build again",
                    "site-private",
                    path,
                )
            )
        if (
            any(part in ("", ".", "..") or part.startswith(OWN_PREFIX) for part in parts)
            or parts[0] == ".git"
            or not path.isprintable()
            or "\\" in path
        ):
            raise refusal(
                PublishProblem(
                    "a file in the site has a name that can't be published",
                    "delete or rename it, then build again",
                    "site-path",
                    ascii(path),
                )
            )
