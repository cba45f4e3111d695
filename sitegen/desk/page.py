"""The desk's page as text: the shell, which holds nothing of anybody, and what is put into it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from typing import Any

from jinja2 import DictLoader, Environment, StrictUndefined
from markupsafe import Markup

from sitegen import __version__, world
from sitegen.coach.acting import both_versions
from sitegen.coach.sheet_shown import ahead_words, behind_words, said_words
from sitegen.desk.frames import SANDBOX
from sitegen.desk.panel import DeskPanel, FileChange, Outcome, Shown
from sitegen.desk.wording import here, reason_first
from sitegen.model.alarm import weekday_words

POLICY_OF_SCRIPTS = "desk"
LINES_SHOWN = 60  # of one file's difference


class Pages:
    """Draws everything from the templates in ``templates/desk``."""

    def __init__(self, panels: Iterable[DeskPanel], frames: str) -> None:
        """Read them.

        Args:
            panels: The parts of the page, in order.
            frames: The origin of portals in the frame.

        Raises:
            Refused: The templates are missing.
        """
        self.panels, self.frames = tuple(panels), frames
        self._texts = world.read_desk_templates()

    @cached_property
    def _environment(self) -> Environment:
        environment = Environment(
            loader=DictLoader(dict(self._texts)),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        environment.filters |= {
            "behind": behind_words,
            "said": said_words,
            "ahead": ahead_words,
            "weekday": weekday_words,
            "basename": lambda file: str(file).rpartition("/")[2],
            "difference": lambda one: tuple(difference(one)),
            "reason_first": reason_first,
            "here": lambda says: says if isinstance(says, Markup) else here(says),
        }
        environment.globals |= {"sandbox": SANDBOX}
        return environment

    @property
    def script(self) -> str:
        return self._texts["desk.js"]

    @property
    def style(self) -> str:
        return self._texts["desk.css"]

    def shell(self) -> str:
        """The page before anybody came in."""
        return self._environment.get_template("shell.html").render(
            panels=self.panels, version=__version__
        )

    def panel(self, panel: DeskPanel, view: Mapping[str, Any]) -> str:
        """One part of the page."""
        return self._environment.get_template(f"{panel.name}.html").render(
            **{"panel": panel, **view}
        )

    def shown(self, shown: Shown) -> str:
        """What an act comes to, before the yes."""
        return self._environment.get_template("shown.html").render(shown=shown)

    def outcome(self, outcome: Outcome, is_within: bool = False) -> str:
        """What became of an act, for a dialog or for a place within the page."""
        differs = [
            (one.name, tuple(_cut(both_versions(one.name, one.left, one.now))))
            for one in outcome.differs
        ]
        return self._environment.get_template("outcome.html").render(
            outcome=outcome, differs=differs, is_within=is_within
        )


def difference(one: FileChange) -> Iterator[str]:
    """The lines that an act takes away and adds, as ``- `` and ``+ ``."""
    yield from _cut(both_versions(one.name, one.before, one.after))


def _cut(lines: Iterable[str]) -> Iterator[str]:
    found = [line for line in lines if line[:1] in "+-"][2:]
    yield from (f"{line[0]} {line[1:]}" for line in found[:LINES_SHOWN])
    if len(found) > LINES_SHOWN:
        yield f"and {len(found) - LINES_SHOWN} lines more"
