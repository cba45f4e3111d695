"""What is noted of each client, beside the keys: six files, a text a client.

``SEEN_FILE`` is behind `sitegen.portal.changed`: the plan that a client had before. ``FEEDS_FILE``
is behind `sitegen.feed.history`, ``SHEET_FILE`` remembers the rows of `sitegen.coach.sheet`,
``CHECK_FILE`` what `sitegen.site.checked` found. All of these can be deleted: the next build then
tells of no changes, and takes all events for new. `sitegen.site.telling` has ``SHOWN_FILE``, what
each site shows until that is told, and ``SEEN_STATES``, what the last two published states show.
They hold days of clients' sessions, and what was told of them, so only their owner may read them.

Each is a database of SQLite: one client is read and written without the others, however many there
are, and what a long build has to note waits on the disk, not in memory.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Collection, Iterator
from contextlib import suppress
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from sitegen.locking import writing
from sitegen.world import Refused

if TYPE_CHECKING:
    from sqlite3 import Connection
    from typing import Self

SEEN_FILE, FEEDS_FILE = ".seen.db", ".feeds.db"
SHEET_FILE, CHECK_FILE = ".sheet.db", ".checked.db"
SHOWN_FILE, SEEN_STATES = ".shown.db", ".shown-before.db"
NOTE_FILES = (SEEN_FILE, FEEDS_FILE, SHEET_FILE, CHECK_FILE, SHOWN_FILE, SEEN_STATES)

_TABLE = "(part TEXT, id TEXT, text TEXT NOT NULL, PRIMARY KEY (part, id)) WITHOUT ROWID"


class Notes:
    """One of the files as it lies there, and what it shall hold; written by `keep` alone.

    It is opened, and the database's module loaded, when it is first asked.

    Args:
        clients: The practice's folder.
        name: The file's.
        part: Of the file, where it has several.
    """

    def __init__(self, clients: Path, name: str, part: str = "") -> None:
        self._clients, self._file, self._part = clients, clients / name, part
        self._failed: Exception | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file, and of what was not kept."""
        if "_db" in vars(self):
            self._db.close()
            del self._db

    def get(self, id: str) -> str:
        """What is noted of a client; empty for nothing, or where the file is lost or damaged."""
        found = self._asked(
            "SELECT CAST(text AS TEXT) FROM old.notes WHERE part = ? AND id = ?", self._part, id
        )
        return found[0] if found else ""

    def ids(self) -> list[str]:
        """Of whom something is noted, sorted."""
        return self._asked("SELECT id FROM old.notes WHERE part = ? ORDER BY id", self._part)

    def everyone(self) -> list[str]:
        """Of whom any part of the file has something."""
        return self._asked("SELECT DISTINCT id FROM old.notes")

    def note(self, id: str, text: str) -> None:
        """Have this noted of a client in place of what is; with an empty text, nothing."""
        import sqlite3

        try:
            self._db.execute("INSERT OR REPLACE INTO new VALUES (?, ?, ?)", (self._part, id, text))
        except sqlite3.Error as error:  # no room on the disk: `keep` says so
            self._failed = error

    def keep(self, here: Collection[str]) -> None:
        """Write down what is new, and let go of all who are not here; nothing for who never asked.

        Raises:
            Refused: The file can't be written; it is as it was.
        """
        if self.has_new or ("_db" in vars(self) and not set(self.ids()).issubset(here)):
            self._write(lambda: self._bring(frozenset(here)))

    @property
    def has_new(self) -> bool:
        """Whether there is anything to be kept.

        Raises:
            Refused: Some of it could not be held.
        """
        if self._failed is not None:
            raise Refused(f"{self._file} can't be written: {self._failed}")
        return "_db" in vars(self) and bool(self._asked("SELECT id FROM new LIMIT 1"))

    def new(self) -> Iterator[tuple[str, str]]:
        """What there is to be kept, by client."""
        yield from self._db.execute("SELECT id, text FROM new ORDER BY id")

    def replace(self, before: str) -> None:
        """Write down what is new, in place of all that is there, which is what ``before`` has then.

        Raises:
            Refused: The file can't be written; it is as it was.
        """

        def change() -> None:
            self._db.execute("DELETE FROM old.notes WHERE part = ?", (before,))
            self._db.execute("UPDATE old.notes SET part = ? WHERE part = ?", (before, self._part))
            self._db.execute("INSERT INTO old.notes SELECT * FROM new")

        self._write(change)

    def forget(self, id: str) -> None:
        """Let go of what is noted of one client.

        Raises:
            Refused: The file can't be written; it is as it was.
        """
        if id in self.everyone():
            self._write(lambda: self._db.execute("DELETE FROM old.notes WHERE id = ?", (id,)))

    # --- the database ---------------------------------------------------------------------

    @cached_property
    def _db(self) -> Connection:
        """What is new, in a file without a name, which goes with us; the notes themselves beside
        it, as ``old``."""
        from sqlite3 import connect

        db = self._db = connect("", uri=True, isolation_level=None)
        db.execute("PRAGMA trusted_schema = OFF")  # a practice may come from somebody else
        db.execute(f"CREATE TABLE new {_TABLE}")
        self._look()
        self._take_over(self._file.with_suffix(".json"))
        return db

    def _attach(self) -> None:
        import sqlite3

        with suppress(sqlite3.OperationalError):  # there is none yet
            self._db.execute("DETACH old")
        # Also to be read it is opened to be written: who was killed may have left a half to undo.
        self._db.execute("ATTACH ? AS old", (f"{self._file.absolute().as_uri()}?mode=rw",))

    def _look(self) -> None:
        """Have the notes at hand as they lie there; of what can't be read there are none."""
        import sqlite3

        with suppress(sqlite3.Error):
            self._attach()

    def _asked(self, sql: str, *values: str) -> list[str]:
        import sqlite3

        with suppress(sqlite3.Error):
            return [first for (first,) in self._db.execute(sql, values)]
        return []

    def _write(self, change: Callable[[], object]) -> None:
        """Change the file whole or not at all. One that is damaged is begun anew."""
        import sqlite3

        with writing(self._clients):
            try:
                try:
                    self._transact(change)
                except sqlite3.OperationalError:
                    raise
                except sqlite3.DatabaseError:
                    self._look()
                    self._file.unlink()
                    self._transact(change)
            except (OSError, sqlite3.Error) as error:
                raise Refused(f"{self._file} can't be written: {error}") from error
            finally:
                self._look()

    def _transact(self, change: Callable[[], object]) -> None:
        os.close(os.open(self._file, os.O_RDWR | os.O_CREAT, 0o600))
        self._attach()
        self._db.execute("PRAGMA old.secure_delete = ON")  # what is let go of is overwritten
        with self._db:  # takes all back that fails
            self._db.execute("BEGIN IMMEDIATE")
            self._db.execute(f"CREATE TABLE IF NOT EXISTS old.notes {_TABLE}")
            change()

    def _bring(self, here: frozenset[str]) -> None:
        self._db.execute(
            "INSERT INTO old.notes SELECT * FROM new WHERE text <> '' "
            "ON CONFLICT DO UPDATE SET text = excluded.text WHERE text <> excluded.text"
        )
        ended = self._asked("SELECT id FROM new WHERE text = ''")
        gone = [*ended, *(id for id in self.ids() if id not in here)]
        self._db.executemany(
            "DELETE FROM old.notes WHERE part = ? AND id = ?", [(self._part, id) for id in gone]
        )

    def _take_over(self, before: Path) -> None:
        """Take over what was noted before there was a database; where that can't be, it waits."""
        if not before.is_file():
            return
        with suppress(Refused, OSError), writing(self._clients):
            noted = _in_json(before)
            self._write(
                lambda: self._db.executemany(
                    "INSERT OR IGNORE INTO old.notes VALUES (?, ?, ?)", noted
                )
            )
            before.unlink()


def _in_json(file: Path) -> list[tuple[str, str, str]]:
    """What a file held: texts by client, or by part and client several lines in a row."""
    try:
        found = json.loads(file.read_text(encoding="utf-8"))
        texts = [("", id, text) for id, text in found.items() if isinstance(text, str)]
        parts = [(part, clients) for part, clients in found.items() if isinstance(clients, dict)]
        return [*texts, *((p, id, "\n".join(t)) for p, c in parts for id, t in c.items())]
    except (OSError, ValueError, TypeError, AttributeError):
        return []


def site_name(clients: Path, out: Path) -> str:
    """A site's name in the files: its way from the practice, so that both can be moved together."""
    with suppress(ValueError):  # another drive
        return Path(os.path.relpath(out.resolve(), clients.resolve())).as_posix()
    return out.resolve().as_posix()


def forget_notes(clients: Path, id: str) -> None:
    """Let go of all that is noted of one client.

    Raises:
        Refused: A file can't be written.
    """
    with writing(clients):
        for name in NOTE_FILES:
            with Notes(clients, name) as noted:
                noted.forget(id)
