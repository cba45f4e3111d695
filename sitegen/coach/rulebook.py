"""The rule book: every rule's promise, reason, parameters, source and strength of evidence."""

from __future__ import annotations

from typing import Any

from sitegen.coach.constants import numbers_table
from sitegen.model.plan import WEEK_KIND_WORDS
from sitegen.model.record import Row
from sitegen.rules import RULES, Rule
from sitegen.rules.precedence import CLAIMS

EVIDENCE_IN_FULL = {
    "published": "published studies or guidelines",
    "weak": "weak: few, small or indirect studies",
    "judgement": "common practice, no source",
    "arithmetic": "arithmetic only",
}

WARNS = {"both": "client and coach", "coach": "the coach alone"}

RULE_BOOK_HEAD = """\
# The rule book

Made by `sitegen rules`; do not edit. Rules act in this order, limits last. None of them is shown
to prevent an injury; each keeps the dose within bounds that a coach can defend.

Set a parameter for the whole practice in `practice.yaml`, or for one client in the client's file:

```yaml
rules:
  pain:
    profile: knee
```
"""

WHO_WINS = """\
## Who wins

Where several rules have a say in the minutes of one week, the first of these wins: a weaker one
may make the week smaller, not larger. `sitegen why` names it. What you write for a week, its kind
or its minutes, yields to what stands above you here; what you write for one day is carried out,
but inside a stop.
"""


def rule_book() -> str:
    """Markdown, the same for the same version."""
    return "\n".join(
        [RULE_BOOK_HEAD, _week_kinds(), _claims(), *(_rule(r) for r in RULES), numbers_table()]
    )


def rule_book_json() -> list[dict[str, Any]]:
    """What ``sitegen rules --json`` prints: the same, for programs."""
    return [
        {
            "rule": rule.name,
            "promise": rule.promise,
            "reason": rule.reason,
            "evidence": rule.evidence,
            "source": rule.source,
            "warns": rule.audience,
            "needs": list(rule.needs),
            "review": rule.review,
            "parameters": [
                {
                    "name": name,
                    "default": _default(row),
                    "meaning": row.meaning,
                    "field": ".".join(map(str, rule.client_fields.get(name, ()))) or None,
                }
                for name, row in rule.parameters.ROWS.items()
            ],
        }
        for rule in RULES
    ]


def _week_kinds() -> str:
    rows = [f"| `{kind}` | {means} |" for kind, means in WEEK_KIND_WORDS.items()]
    return "\n".join(["## Kinds of weeks", "", "| kind | what it is |", "| --- | --- |", *rows, ""])


def _claims() -> str:
    rows = [f"{n}. {one.name}: {_listed(one.rules)}" for n, one in enumerate(CLAIMS, start=1)]
    return "\n".join([WHO_WINS, *rows, ""])


def _listed(rules: tuple[str, ...]) -> str:
    return ", ".join(f"`{name}`" for name in rules)


def _rule(rule: Rule) -> str:
    lines = [
        f"## {rule.name}",
        "",
        rule.promise,
        "",
        f"*Why:* {rule.reason}",
        "",
        f"*Evidence:* {EVIDENCE_IN_FULL[rule.evidence]}.",
        "",
        f"*Source:* {rule.source}.",
        "",
        f"*Warns:* {WARNS[rule.audience]}.",
        "",
    ]
    if rule.needs:
        lines += [f"*Builds on:* {', '.join(rule.needs)}.", ""]
    if rule.review:
        lines += [f"*To see that it holds:* {rule.review}", ""]
    fields = rule.parameters.ROWS
    if fields:
        lines += ["| parameter | default | meaning | also set by |", "| --- | --- | --- | --- |"]
        for name, row in fields.items():
            path = ".".join(str(p) for p in rule.client_fields.get(name, ()))
            also = f"`{path}`" if path else ""
            default = _default(row)
            lines.append(f"| `{name}` | {default} | {row.meaning} | {also} |")
        lines.append("")
    return "\n".join(lines)


def _default(row: Row) -> str:
    value = row.fresh()
    if value is None:
        return row.usual or "none"
    if isinstance(value, list):
        return ", ".join(_rung(r) for r in value)
    return str(value)


def _rung(rung: Any) -> str:
    if rung.run is None:
        return "30 min without a walk"
    return f"{rung.run} / {rung.walk}"
