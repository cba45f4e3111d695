"""What a rule is: a promise, a reason with its source, parameters, and one pure function."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Literal

from sitegen.model.case import Case, Path
from sitegen.model.client import Written
from sitegen.rules.draft import Draft, Past

Evidence = Literal["published", "weak", "judgement", "arithmetic"]


class Parameters(Written):
    """Base of every rule's parameters; a subclass names them with kind, default and meaning."""


class NoParameters(Parameters):
    """For a rule that leaves nothing to choose."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One progression rule.

    ``apply`` takes the week as the rules before it left it, and what came before that week; it
    gives the week back, changed or not, with its decisions noted. It knows no clock and no files.

    ``evidence`` says how strong the ground under the numbers is: ``published`` (a study or a
    guideline says so), ``weak`` (studies, but few, small or indirect), ``judgement`` (common
    practice, no source), ``arithmetic`` (nothing to believe: it only counts).

    ``client_fields`` maps a parameter to the path of the client's own field that sets it.
    """

    name: str
    promise: str
    reason: str
    source: str
    evidence: Evidence
    apply: Callable[[Draft, Past, Case], Draft]
    parameters: type[Parameters] = NoParameters
    client_fields: Mapping[str, Path] = field(default_factory=lambda: MappingProxyType({}))

    def values(self, case: Case) -> Any:
        """This client's values of the rule's parameters; the defaults where none were merged."""
        return case.settings.get(self.name) or self.parameters()
