"""For many: a word, a holiday or a change for a group, a house rule for all, weeks copied."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

from sitegen.acts import ACTS
from sitegen.coach.acting import clients_meant, propose
from sitegen.coach.bulk import HouseProposal, house_lines, propose_house, write_house
from sitegen.desk.deciding import CHANGED, DONE, MISSING, desk_name, proposed_acts
from sitegen.desk.panel import DeskPanel, FileChange, Outcome, Sent, Shown
from sitegen.desk.warm import Warm
from sitegen.desk.wording import by_name
from sitegen.model.problem import Origin, Problem


def _view(warm: Warm, _given: Sent) -> Mapping[str, Any]:
    rows = [row for row in warm.sheet().rows if row.status != "aside"]
    sizes = Counter(row.group for row in rows if row.group)
    return {
        "groups": [(name, sizes[name]) for name in warm.groups()],
        "clients": [(row.id, row.name) for row in sorted(rows, key=lambda row: row.name)],
    }


def _house(warm: Warm, given: Sent) -> Shown:
    setting = str(given.get("setting") or "").strip()
    group = str(given.get("group") or "").strip() or None
    if not setting:
        return _refused(warm, "A house rule", "write one like volume: {growth: 8 %}")
    found = propose_house(
        warm.listed(), [setting], group, warm.as_of, drawn=lambda files: warm.judged(files).plan
    )
    says = f"A house rule for {group or 'all'}"
    if not isinstance(found, HouseProposal):
        return Shown(says, problems=found)
    proposal = found

    def do() -> Outcome:
        done = write_house(warm.clients, proposal)
        return Outcome(CHANGED, done.differs) if done.differs else Outcome(DONE)

    names = {id: case.client.name for id, case in warm.cases().items()}
    told = tuple(house_lines(found))[len(found.act.entries) :]
    lines = tuple(by_name(line, names) for line in told)
    file = FileChange(found.path.name, found.before, found.after)
    return Shown(says, lines, (file,), do=do)


def _copy(warm: Warm, given: Sent) -> Shown:
    told = {name: str(given.get(name) or "").strip() for name in ("source", "whose", "weeks", "at",
                                                                  "share", "because")}  # fmt: skip
    if not (told["source"] and told["whose"] and told["weeks"] and told["because"]):
        says = "name both, the weeks like 5-8, and why"
        return _refused(warm, "Weeks copied", says if told["because"] else MISSING["because"])
    source = warm.known(told["source"])
    if source.plan is None:
        return Shown("Weeks copied", problems=source.problems)
    args = (source.plan, told["weeks"], told["because"], told["at"] or None, told["share"] or None)
    listed = warm.listed()
    ids = clients_meant(listed, told["whose"])
    found = propose(listed, ids, lambda known: ACTS["copy"](known, *args), warm.as_of)

    says = f"Weeks {told['weeks']} of {source.name} copied to {desk_name(warm, told['whose'])}"
    return proposed_acts(warm, "copy", says, found)


def _refused(warm: Warm, says: str, why: str) -> Shown:
    place = Origin((warm.clients / "practice.yaml").as_posix())
    return Shown(says, problems=(Problem(place, why, "", "act"),))


PANEL = DeskPanel("many", "For many", _view, {"house": _house, "copy": _copy})
