"""The `publish` command: which target, what of the built folder, and what to say."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from sitegen import world
from sitegen.keys import forget
from sitegen.keys_file import NAME, load_keys, update_keys
from sitegen.model.practice import Practice
from sitegen.publish import Report, Step, publish

DOING = {"send": "sending", "remove": "removing", "wait": "waiting"}


class OwnFiles(Mapping[str, bytes]):
    """The tool's own files in the built folder, each read when it is asked for.

    What others put there, and the tool's record, are not part of the site.
    """

    def __init__(self, out: Path) -> None:
        self.out = out
        self._names = frozenset(world.site_files(out))

    def __getitem__(self, name: str) -> bytes:
        if name not in self._names:
            raise KeyError(name)
        return (self.out / name).read_bytes()

    def __iter__(self) -> Iterator[str]:
        return iter(sorted(self._names))

    def __len__(self) -> int:
        return len(self._names)


@dataclass(frozen=True, slots=True)
class NoTarget(Exception):
    """No target can be meant. The text says what to write."""

    text: str

    def __str__(self) -> str:
        return self.text


def target_of(practice: Practice, wanted: str | None) -> str:
    """The address of a target by its name in ``practice.yaml``, or as it was typed.

    Raises:
        NoTarget: Nothing was named and there is not just one, or no target has that name.
    """
    names = practice.targets
    if wanted is None:
        if len(names) == 1:
            return next(iter(names.values()))
        told = f"name one of {', '.join(names)}" if names else "write targets: into practice.yaml"
        raise NoTarget(f"no target was named; {told}, or give an address")
    if wanted in names:
        return names[wanted]
    if "://" in wanted or "/" in wanted or wanted.startswith(("git+", ".", "~")):
        return wanted
    import difflib

    close = difflib.get_close_matches(wanted, list(names), n=1)
    mean = f"; did you mean {close[0]}?" if close else ""
    raise NoTarget(f"there is no target {wanted!r} in practice.yaml{mean}")


def run(
    clients: Path,
    out: Path,
    target: str,
    *,
    dry_run: bool,
    adopt: bool,
    progress: Callable[[int, int, str], None],
) -> Report:
    """Publish the built folder; forget retired links once their portals are gone from there."""
    world.finish_site(out)

    def show(step: Step) -> None:
        progress(
            step.done,
            step.total,
            {"send": "sending", "remove": "removing"}.get(step.doing, "waiting"),
        )

    report = publish(OwnFiles(out), target, dry_run=dry_run, adopt=adopt, progress=show)
    if not report.problems and not dry_run:
        keys, _ = load_keys(clients / NAME)
        if keys is not None and keys.retired:
            retired = keys.retired
            update_keys(clients / NAME, lambda now: forget(now, retired))
    return report


def lines(report: Report) -> Iterator[str]:
    """What a coach reads when it is done."""
    would = "would be " if report.dry_run else ""
    for path in report.uploaded if report.dry_run else ():
        yield f"  send    {path}"
    for path in report.removed if report.dry_run else ():
        yield f"  remove  {path}"
    yield (
        f"{len(report.uploaded)} files {would}sent, {len(report.removed)} {would}removed, "
        f"{len(report.unchanged)} unchanged"
    )
    yield from report.notes
