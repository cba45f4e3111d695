"""The file of private links as text: what is in it, or every place where it is damaged.

Pure. A damaged file is a list of problems, and never mended by guessing: a new key would silently
kill a link that a client has in his bookmarks.
"""

from __future__ import annotations

import re

import yaml

from sitegen.model.problem import Origin, Problem
from sitegen.seal.keys import ID_BYTES, KEY_BYTES, KEYS_VERSION, Keys, Link, Retired, sorted_links
from sitegen.seal.sealing import ROUNDS_BOUNDS, Passphrase, from_base64url, to_base64url

_CLIENT = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")

_MEND = (
    "put back the last good copy of this file; without one, delete it, "
    "and every client gets a new link"
)


def read_keys(text: str, file: str) -> Keys | tuple[Problem, ...]:
    """Read the file's text.

    Args:
        text: What the file holds.
        file: Its name, for the problems' places.

    Returns:
        The keys, or every problem found; no message quotes a secret.
    """
    return _Reader(file).read(text)


class _Reader:
    """Walks the YAML nodes once and notes every problem on the way."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.problems: list[Problem] = []
        self.seen: dict[str, Origin] = {}

    def read(self, text: str) -> Keys | tuple[Problem, ...]:
        root = self._compose(text)
        if root is None:
            return tuple(self.problems)
        parts = self._map(root, "the file", ("version", "clients", "retired"))
        version = self._text(parts.get("version"), "version")
        if version is not None and version != KEYS_VERSION:
            self._note(
                parts["version"],
                "this file was written by another version of sitegen",
                "use the version that wrote it, or a newer one",
                "keys-version",
            )
            return tuple(self.problems)
        links = self._links(parts.get("clients"))
        retired = self._retired(parts.get("retired"))
        if self.problems:
            return tuple(sorted(self.problems))
        return Keys(sorted_links(links), retired)

    def _compose(self, text: str) -> yaml.Node | None:
        loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
        try:
            root = yaml.compose(text, Loader=loader)
        except yaml.MarkedYAMLError as error:
            mark = error.problem_mark or error.context_mark
            self._damaged(Origin(self.file, mark.line + 1, mark.column + 1) if mark else None)
            return None
        except (yaml.YAMLError, RecursionError):
            self._damaged(None)
            return None
        if root is None:
            self._damaged(None)
        return root

    def _links(self, node: yaml.Node | None) -> dict[str, Link]:
        links = {}
        for client, (key_node, value) in self._pairs(node, "clients").items():
            if not _CLIENT.fullmatch(client):
                self._note(key_node, "this is not a client's id", _MEND, "keys-form")
                continue
            parts = self._map(
                value, "a client", ("portal", "key", "feed"), ("passphrase", "kept_under")
            )
            portal = self._bytes(parts.get("portal"), "portal", ID_BYTES, unique=True)
            key = self._bytes(parts.get("key"), "key", KEY_BYTES, unique=True)
            feed = self._bytes(parts.get("feed"), "feed", ID_BYTES, unique=True)
            passphrase = self._passphrase(parts["passphrase"]) if "passphrase" in parts else None
            under = self._kept_under(parts.get("kept_under"))
            if portal and key and feed:
                names = to_base64url(portal), key, to_base64url(feed)
                links[client] = Link(*names, passphrase, under)
        return links

    def _passphrase(self, node: yaml.Node) -> Passphrase | None:
        parts = self._map(node, "a passphrase", ("key", "salt", "rounds"))
        key = self._bytes(parts.get("key"), "key", KEY_BYTES)
        salt = self._bytes(parts.get("salt"), "salt", 16)
        text = self._text(parts.get("rounds"), "rounds")
        if text is None:
            return None
        rounds = int(text) if re.fullmatch(r"[1-9][0-9]{0,8}", text) else 0
        if rounds not in ROUNDS_BOUNDS:
            self._note(parts["rounds"], "these rounds are out of bounds", _MEND, "keys-form")
            return None
        return Passphrase(key, salt, rounds) if key and salt else None

    def _kept_under(self, node: yaml.Node | None) -> tuple[bytes, ...]:
        if node is None:
            return ()
        if not isinstance(node, yaml.SequenceNode):
            self._note(node, '"kept_under" has to be a list', _MEND, "keys-form")
            return ()
        found = (self._bytes(one, "kept_under", KEY_BYTES) for one in node.value)
        return tuple(key for key in found if key)

    def _retired(self, node: yaml.Node | None) -> tuple[Retired, ...]:
        if node is None:
            return ()
        if not isinstance(node, yaml.SequenceNode):
            self._note(node, '"retired" has to be a list', _MEND, "keys-form")
            return ()
        retired = []
        for entry in node.value:
            parts = self._map(entry, "a retired link", ("portal", "feed"))
            portal = self._bytes(parts.get("portal"), "portal", ID_BYTES, unique=True)
            feed = self._bytes(parts.get("feed"), "feed", ID_BYTES, unique=True)
            if portal and feed:
                retired.append(Retired(to_base64url(portal), to_base64url(feed)))
        return tuple(retired)

    def _pairs(self, node: yaml.Node | None, name: str) -> dict[str, tuple[yaml.Node, yaml.Node]]:
        """The entries of a map by key; a key given twice is a problem."""
        if node is None:
            return {}
        if not isinstance(node, yaml.MappingNode):
            self._note(node, f"{name} has to be a map", _MEND, "keys-form")
            return {}
        pairs: dict[str, tuple[yaml.Node, yaml.Node]] = {}
        for key, value in node.value:
            if not isinstance(key, yaml.ScalarNode):
                self._note(key, "a plain word is needed here", _MEND, "keys-form")
            elif key.value in pairs:
                self._note(key, "this is written twice", _MEND, "keys-twice")
            else:
                pairs[key.value] = (key, value)
        return pairs

    def _map(
        self, node: yaml.Node, name: str, needed: tuple[str, ...], also: tuple[str, ...] = ()
    ) -> dict[str, yaml.Node]:
        """The values of a map that has just these keys."""
        before = len(self.problems)
        pairs = self._pairs(node, name)
        if len(self.problems) > before and not pairs:
            return {}
        for key, (key_node, _) in pairs.items():
            if key not in needed + also:
                self._note(key_node, f"{name} has nothing of this name", _MEND, "keys-form")
        for key in needed:
            if key not in pairs:
                self._note(node, f'{name} lacks its "{key}"', _MEND, "keys-missing")
        return {key: value for key, (_, value) in pairs.items()}

    def _text(self, node: yaml.Node | None, name: str) -> str | None:
        if node is None:
            return None
        if not isinstance(node, yaml.ScalarNode):
            self._note(node, f'"{name}" has to be one value', _MEND, "keys-form")
            return None
        return str(node.value)

    def _bytes(
        self, node: yaml.Node | None, name: str, size: int, *, unique: bool = False
    ) -> bytes | None:
        text = self._text(node, name)
        if node is None or text is None:
            return None
        raw = from_base64url(text, size)
        if raw is None:
            self._note(node, f'"{name}" is cut short or garbled', _MEND, "keys-form")
            return None
        if unique and text in self.seen:
            self._note(
                node,
                f'this "{name}" is also the one in line {self.seen[text].line}',
                "each client needs a link of their own; " + _MEND,
                "keys-shared",
            )
            return None
        self.seen[text] = self._origin(node)
        return raw

    def _origin(self, node: yaml.Node) -> Origin:
        return Origin(self.file, node.start_mark.line + 1, node.start_mark.column + 1)

    def _note(self, node: yaml.Node, message: str, hint: str, code: str) -> None:
        self.problems.append(Problem(self._origin(node), message, hint, code))

    def _damaged(self, origin: Origin | None) -> None:
        self.problems.append(
            Problem(origin or Origin(self.file), "this file is damaged", _MEND, "keys-damaged")
        )
