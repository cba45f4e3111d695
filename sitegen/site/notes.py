"""What is noted of each client, beside the keys: four files, a text a client.

``SEEN_FILE`` is behind `sitegen.portal.changed`: the plan that a client had before. ``FEEDS_FILE``
is behind `sitegen.feed.history`, ``SHEET_FILE`` remembers the rows of `sitegen.coach.sheet`,
``CHECK_FILE`` what `sitegen.site.checked` found. All can be deleted: the next build then tells of
no changes, and takes all events for new. They hold days of clients' sessions, and what was told of
them, so only their owner may read them.

Each is a database of SQLite: one client is read and written without the others, however many there
are, and what a long build has to note waits on the disk, not in memory.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Collection
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
NOTE_FILES = (SEEN_FILE, FEEDS_FILE, SHEET_FILE, CHECK_FILE)

_TABLE = "(id TEXT PRIMARY KEY, text TEXT NOT NULL) WITHOUT ROWID"


class Notes:
    """One of the files as it lies there, and what it shall hold; written by `keep` alone.

    It is opened, and the database's module loaded, when it is first asked.

    Args:
        clients: The practice's folder.
        name: The file's.
    """

    def __init__(self, clients: Path, name: str) -> None:
        self._clients, self._file = clients, clients / name
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
        found = self._asked("SELECT CAST(text AS TEXT) FROM old.notes WHERE id = ?", id)
        return found[0] if found else ""

    def ids(self) -> list[str]:
        """Of whom something is noted, sorted."""
        return self._asked("SELECT CAST(id AS TEXT) FROM old.notes ORDER BY id")

    def note(self, id: str, text: str) -> None:
        """Have this noted of a client in place of what is; with an empty text, nothing."""
        import sqlite3

        try:
            self._db.execute("INSERT OR REPLACE INTO new VALUES (?, ?)", (id, text))
        except sqlite3.Error as error:  # no room on the disk: `keep` says so
            self._failed = error

    def keep(self, here: Collection[str]) -> None:
        """Write down what is new, and let go of all who are not here; nothing for who never asked.

        Raises:
            Refused: The file can't be written; it is as it was.
        """
        if "_db" not in vars(self):
            return
        if self._failed is not None:
            raise Refused(f"{self._file} can't be written: {self._failed}")
        is_new = bool(self._asked("SELECT id FROM new LIMIT 1"))
        if is_new or not set(self.ids()).issubset(here):
            self._write(lambda: self._bring(frozenset(here)))

    def forget(self, id: str) -> None:
        """Let go of what is noted of one client.

        Raises:
            Refused: The file can't be written; it is as it was.
        """
        if id in self.ids():
            self._write(lambda: self._delete([id]))

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

    def _attach(self, mode: str) -> None:
        import sqlite3

        with suppress(sqlite3.OperationalError):  # there is none yet
            self._db.execute("DETACH old")
        self._db.execute("ATTACH ? AS old", (f"{self._file.absolute().as_uri()}?mode={mode}",))

    def _look(self) -> None:
        """Have the notes at hand as they lie there; of what can't be read there are none."""
        import sqlite3

        with suppress(sqlite3.Error):
            self._attach("ro")

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
        self._attach("rw")
        self._db.execute("PRAGMA old.secure_delete = ON")  # what is let go of is overwritten
        with self._db:  # takes all back that fails
            self._db.execute("BEGIN IMMEDIATE")
            self._db.execute(f"CREATE TABLE IF NOT EXISTS old.notes {_TABLE}")
            change()

    def _bring(self, here: frozenset[str]) -> None:
        self._db.execute(
            "INSERT INTO old.notes SELECT * FROM new WHERE text <> '' "
            "ON CONFLICT (id) DO UPDATE SET text = excluded.text WHERE text <> excluded.text"
        )
        ended = self._asked("SELECT id FROM new WHERE text = ''")
        self._delete([*ended, *(id for id in self.ids() if id not in here)])

    def _delete(self, ids: list[str]) -> None:
        self._db.executemany("DELETE FROM old.notes WHERE id = ?", [(id,) for id in ids])

    def _take_over(self, before: Path) -> None:
        """Take over what was noted before there was a database; where that can't be, it waits."""
        if not before.is_file():
            return
        with suppress(Refused, OSError), writing(self._clients):
            noted = _in_json(before)
            self._write(
                lambda: self._db.executemany("INSERT OR IGNORE INTO old.notes VALUES (?, ?)", noted)
            )
            before.unlink()


def _in_json(file: Path) -> list[tuple[str, str]]:
    with suppress(OSError, ValueError):
        found = json.loads(file.read_text(encoding="utf-8"))
        if isinstance(found, dict):
            return [(id, text) for id, text in found.items() if isinstance(text, str)]
    return []


def forget_notes(clients: Path, id: str) -> None:
    """Let go of all that is noted of one client.

    Raises:
        Refused: A file can't be written.
    """
    with writing(clients):
        for name in NOTE_FILES:
            with Notes(clients, name) as noted:
                noted.forget(id)
