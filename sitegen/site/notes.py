"""What is noted of each client, beside the keys: six files, a text a client.

``SEEN_FILE`` is behind `sitegen.portal.changed`: the plan that a client had before. ``FEEDS_FILE``
is behind `sitegen.feed.history`, ``SHEET_FILE`` remembers the rows of `sitegen.coach.sheet`,
``CHECK_FILE`` what `sitegen.site.checked` found. All of these can be deleted: the next build then
tells of no changes, and takes all events for new. `sitegen.site.telling` has ``SHOWN_FILE``, what
each site shows until that is told, and ``SEEN_STATES``, what the last two published states show.
They hold days of clients' sessions, and what was told of them, so only their owner may read them.

Each is a database of SQLite: one client is read and written without the others, however many there
are, and what a long build has to note waits on the disk, not in memory. One that another program
holds is waited for; one that is damaged is begun anew, and who kept notes in it says so.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterator
from contextlib import suppress
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from sitegen.locking import PATIENCE_S, TOLD_AFTER_S, wait_for, writing
from sitegen.model.problem import Origin, Problem
from sitegen.world import Refused

if TYPE_CHECKING:
    from sqlite3 import Connection, DatabaseError
    from typing import Self

SEEN_FILE, FEEDS_FILE = ".seen.db", ".feeds.db"
SHEET_FILE, CHECK_FILE = ".sheet.db", ".checked.db"
SHOWN_FILE, SEEN_STATES = ".shown.db", ".shown-before.db"
NOTE_FILES = (SEEN_FILE, FEEDS_FILE, SHEET_FILE, CHECK_FILE, SHOWN_FILE, SEEN_STATES)

_TABLE = "(part TEXT, id TEXT, text TEXT NOT NULL, PRIMARY KEY (part, id)) WITHOUT ROWID"
_SHAPE = f"CREATE TABLE notes {_TABLE}"  # as a file tells it


class Notes:
    """One of the files as it lies there, and what it shall hold; written by `keep` alone.

    It is opened, and the database's module loaded, when it is first asked.

    Args:
        clients: The practice's folder.
        name: The file's.
        part: Of the file, where it has several.
        is_spare: Whether it can be done without: then one that another program holds counts as
            empty at once, and nothing is read of one that can't be.

    Attributes:
        damage: What is wrong with what lay there; empty for nothing.
    """

    def __init__(self, clients: Path, name: str, part: str = "", *, is_spare: bool = False) -> None:
        self._clients, self._file, self._part = clients, clients / name, part
        self._failed: Exception | None = None
        self._is_spare, self._is_out_of_reach = is_spare, False
        self.damage = ""

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
        """What is noted of a client; empty for nothing, or where the file is lost or damaged.

        Raises:
            Refused: Here, and wherever notes are asked for: another program holds the file, or
                the disk does not give it.
        """
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
        is_new = self.has_new or ("_db" in vars(self) and not set(self.ids()).issubset(here))
        if is_new or self.damage:
            self._write(lambda: self._bring(frozenset(here)))

    def or_warn(self, keeps: Callable[[], None], code: str, follows: str) -> tuple[Problem, ...]:
        """Keep it, with a warning of what follows where that can't be, or the file was damaged."""
        try:
            keeps()
        except Refused as error:
            hint = f"mend that, and build again; until then {follows}"
            return self.warning(code, str(error), hint)
        if not self.damage:
            return ()
        wrong = f"this file was damaged ({self.damage}) and is begun anew, so {follows}"
        hint = "put your copy of it back, if you have one, and build again; else leave it so"
        return self.warning(code, wrong, hint)

    def warning(self, code: str, wrong: str, hint: str) -> tuple[Problem, ...]:
        return (Problem(Origin(self._file.as_posix()), wrong, hint, code, "warning"),)

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

    def is_as_new(self) -> bool:
        """Whether what there is to be kept is just what is noted."""
        ids = self._asked("SELECT id FROM new ORDER BY id")
        return ids == self.ids() and all(self.get(id) == text for id, text in self.new())

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
        if id in self.everyone() or self.damage:
            self._write(lambda: self._db.execute("DELETE FROM old.notes WHERE id = ?", (id,)))

    # --- the database ---------------------------------------------------------------------

    @cached_property
    def _db(self) -> Connection:
        """What is new, in a file without a name, which goes with us; the notes themselves beside
        it, as ``old``."""
        from sqlite3 import connect

        db = self._db = connect("", uri=True, isolation_level=None, timeout=0)  # we wait ourselves
        try:
            db.execute("PRAGMA trusted_schema = OFF")  # a practice may come from somebody else
            db.execute(f"CREATE TABLE new {_TABLE}")
            self._read(self._attach)
        except BaseException:
            self.close()  # who asks again looks again
            raise
        return db

    def _attach(self) -> None:
        """Have the notes at hand as they lie there."""
        self._detach()
        # Also to be read it is opened to be written: who was killed may have left a half to undo.
        self._db.execute("ATTACH ? AS old", (f"{self._file.absolute().as_uri()}?mode=rw",))
        for (shape,) in self._db.execute("SELECT sql FROM old.sqlite_schema").fetchall():
            if shape != _SHAPE:
                self._detach()
                raise _another_table()

    def _detach(self) -> None:
        from sqlite3 import OperationalError

        with suppress(OperationalError):  # there is none
            self._db.execute("DETACH old")

    def _asked(self, sql: str, *values: str) -> list[str]:
        found: list[str] = []
        self._read(lambda: found.extend([first for (first,) in self._db.execute(sql, values)]))
        return found

    def _read(self, work: Callable[[], object]) -> None:
        """Read something, or nothing where nothing lies there, or it is damaged.

        Raises:
            Refused: It lies there and can't be read.
        """
        import sqlite3

        if self._is_out_of_reach:
            return
        try:
            self._patiently(work)
        except sqlite3.DatabaseError as error:
            if _is_damage(error):
                self.damage = str(error)
            elif _kind(error) not in (sqlite3.SQLITE_ERROR, sqlite3.SQLITE_CANTOPEN):
                self._give_up(f"{self._file} can't be read: {error}")
        except TimeoutError:
            self._give_up(self._held)

    def _give_up(self, why: str) -> None:
        if not self._is_spare:
            raise Refused(why) from None
        self._is_out_of_reach = True

    def _patiently(self, work: Callable[[], object]) -> None:
        """Do it once no other program holds the file.

        Raises:
            TimeoutError: One held it all the while.
        """
        import sqlite3

        def is_done() -> bool:
            try:
                work()
            except sqlite3.OperationalError as error:
                if _kind(error) != sqlite3.SQLITE_BUSY:
                    raise
                return False
            return True

        patience_s = TOLD_AFTER_S if self._is_spare else PATIENCE_S
        wait_for(is_done, patience_s, f"another program holds {self._file}")

    @property
    def _held(self) -> str:
        return (
            f"another program holds {self._file} and has not let go of it within "
            f"{PATIENCE_S:g} s; close that program, then run this again"
        )

    def _write(self, change: Callable[[], object]) -> None:
        """Change the file whole or not at all. One that is damaged is begun anew."""
        import sqlite3

        with writing(self._clients):
            try:
                try:
                    if not self.damage:
                        self._patiently(lambda: self._transact(change))
                except sqlite3.DatabaseError as error:
                    if not _is_damage(error):
                        raise
                    self.damage = str(error)
                if self.damage:
                    self._detach()
                    self._file.unlink(missing_ok=True)
                    self._transact(change)
            except TimeoutError:
                raise Refused(self._held) from None
            except (OSError, sqlite3.Error) as error:
                why = getattr(error, "strerror", None) or error
                raise Refused(f"{self._file} can't be written: {why}") from error

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


def _kind(error: DatabaseError) -> int | None:
    """The library's code for an error; None for one that it does not know."""
    code: int | None = getattr(error, "sqlite_errorcode", None)
    return code if code is None else code & 0xFF


def _is_damage(error: DatabaseError) -> bool:
    """Whether a file is no database, or none of ours, or has bytes that are no text."""
    import sqlite3

    kind = _kind(error)
    if kind is None:
        return isinstance(error, sqlite3.OperationalError)
    return kind in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


def _another_table() -> DatabaseError:
    from sqlite3 import OperationalError

    return OperationalError("its table is not ours")


def site_name(clients: Path, out: Path) -> str:
    """A site's name in the files: its way from the practice, so that both can be moved together."""
    with suppress(ValueError):  # another drive
        return Path(os.path.relpath(out.resolve(), clients.resolve())).as_posix()
    return out.resolve().as_posix()


def forget_notes(clients: Path, id: str) -> tuple[Problem, ...]:
    """Let go of all that is noted of one client; a warning for each file that went whole.

    Raises:
        Refused: A file can't be written.
    """
    lost: list[Problem] = []
    with writing(clients):
        for name in NOTE_FILES:
            with Notes(clients, name) as noted:
                noted.forget(id)
                if noted.damage:
                    wrong = "this file was damaged, so it went whole, with what it held of others"
                    lost += noted.warning("notes-lost", wrong, "run sitegen build")
    return tuple(lost)
