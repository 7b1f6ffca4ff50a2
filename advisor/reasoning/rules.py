"""Which rules apply to a farm, and which cautions belong in its plan.

Both are data (knowledge/rules, knowledge/cautions) with conditions over facts. A rule speaks only when its
condition is known to hold. A fatal caution also speaks while nobody can say that it does not.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import lru_cache

from advisor.knowledge.models import Caution, Rule
from advisor.reasoning.expressions import Condition, Facts, compile_condition

__all__ = ["Fired", "ShownCaution", "applicable", "cautions_for", "condition_of"]

_SEVERITY = ("fatal", "serious", "nuisance")
_AT_RISK = ("people", "animals", "environment")


@dataclass(frozen=True)
class Fired:
    """A rule that holds, with the facts that its condition read and their values."""

    id: str
    rule: Rule
    because: Mapping[str, object]


@dataclass(frozen=True)
class ShownCaution:
    """A caution to show. Where `certain` is false, say that it counts if this applies to them."""

    id: str
    caution: Caution
    certain: bool


@lru_cache(maxsize=1024)
def condition_of(text: str) -> Condition:
    """The compiled condition; each text is compiled once. Raises ConditionError."""
    return compile_condition(text)


def applicable(rules: Mapping[str, Rule], facts: Facts) -> list[Fired]:
    """The rules that hold, safest first, without those that another one overrides."""
    held = {name: rule for name, rule in rules.items() if condition_of(rule.when)(facts) is True}

    def stands(name: str, asking: frozenset[str] = frozenset()) -> bool:
        """Whether no rule that itself stands overrides this one. Two that override each other both stand."""
        beside = {*held[name].overrides, *asking}
        above = [other for other in held if name in held[other].overrides and other not in beside]
        return not any(stands(other, asking | {name}) for other in above)

    fired = [
        Fired(
            name, rule, {fact: facts[fact] for fact in sorted(condition_of(rule.when).names) if fact in facts}
        )
        for name, rule in held.items()
        if stands(name)
    ]
    return sorted(fired, key=lambda one: (one.rule.rank, one.id))


def cautions_for(
    cautions: Mapping[str, Caution], facts: Facts, assumed: Collection[str] = ()
) -> list[ShownCaution]:
    """The cautions to show, worst first. `assumed` names facts that nobody has told or worked out.

    An assumption may bring a caution up, but never hides a fatal one: there it counts as not known.
    """
    told = {name: value for name, value in facts.items() if name not in assumed}
    shown = []
    for name, caution in cautions.items():
        condition = condition_of(caution.when)
        truth = condition(facts)
        if truth is True:
            shown.append(ShownCaution(name, caution, condition(told) is True))
        elif caution.severity == "fatal" and condition(told) is not False:
            shown.append(ShownCaution(name, caution, False))
    return sorted(shown, key=_worst_first)


def _worst_first(shown: ShownCaution) -> tuple[int, bool, int, str]:
    risk = min((_AT_RISK.index(who) for who in shown.caution.at_risk), default=len(_AT_RISK))
    return _SEVERITY.index(shown.caution.severity), not shown.certain, risk, shown.id
