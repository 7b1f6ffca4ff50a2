"""How likely each cause is, given signs, checks and facts of the farm.

A sign shows when any cause at work brings it about, or of itself now and then (noisy or). A check has several
results; its chances come from the causes that speak about it. At most two causes at once are weighed, each
pair and each one alone, and none at all: "something not held here" stays a possible answer. What is not known
is left out, and so counts neither for nor against.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations

from advisor.knowledge import Knowledge
from advisor.knowledge.models_troubles import Cause, Check
from advisor.reasoning.rules import condition_of

__all__ = [
    "ABSENT", "PRESENT", "UNKNOWN", "WHERE", "Evidence", "Scale", "Weighed", "checks_of_facts", "outlook", "spoken",
    "weigh",
]  # fmt: skip

PRESENT, ABSENT, UNKNOWN = "present", "absent", "unknown"
WHERE = "where_is_it"
Evidence = Mapping[str, str]
Facts = Mapping[str, object]

_FLOOR = 0.05  # part of every check's chances that follows the usual ones: hands and eyes err


@dataclass(frozen=True)
class Scale:
    """The numbers behind the words of the links."""

    knowledge: Knowledge

    def of(self, word: str) -> float:
        """The working value of figure `trouble_<word>`."""
        figure = self.knowledge.figures[f"trouble_{word}"].figure
        if figure is None:
            raise KeyError(word)
        return figure.value

    def usual(self, check: Check) -> dict[str, float]:
        """Chances of a check's results whatever is wrong."""
        raw = {name: self.of(result.usual) for name, result in check.results.items()}
        total = sum(raw.values())
        return {name: value / total for name, value in raw.items()}

    def alone(self, name: str) -> float:
        """How often a sign shows without any of the causes."""
        vague = self.knowledge.signs[name].vague
        return self.of("unexplained_vague" if vague else "unexplained")


@dataclass(frozen=True)
class Weighed:
    """Chances of hypotheses (no cause, one, or two), largest first; they add up to one."""

    hypotheses: tuple[tuple[tuple[str, ...], float], ...]

    def chance(self, cause: str) -> float:
        """The chance that a cause is at work."""
        return sum(weight for held, weight in self.hypotheses if cause in held)

    @property
    def none(self) -> float:
        """The chance that no cause held here explains it."""
        return sum(weight for held, weight in self.hypotheses if not held)

    def ranked(self) -> list[tuple[str, float]]:
        """Causes with their chances, likeliest first."""
        sums: dict[str, float] = {}
        for held, weight in self.hypotheses:
            for cause in held:
                sums[cause] = sums.get(cause, 0.0) + weight
        return sorted(sums.items(), key=lambda item: (-item[1], item[0]))


def checks_of_facts(knowledge: Knowledge, facts: Facts) -> dict[str, str]:
    """Results of checks that the facts of the farm already settle."""
    found: dict[str, str] = {}
    for name, check in knowledge.checks.items():
        value = facts.get(check.fact) if check.fact else None
        if isinstance(value, str) and value in check.results:
            found[name] = value
            continue
        for result, text in check.from_facts.items():
            if condition_of(text)(facts) is True:
                found[name] = result
                break
    return found


def weigh(knowledge: Knowledge, evidence: Evidence, facts: Facts) -> Weighed:
    """The chances of every hypothesis, given the evidence and the facts."""
    scale = Scale(knowledge)
    odds = _odds(knowledge, scale, evidence, facts)
    known = [(name, state) for name, state in sorted(evidence.items()) if state != UNKNOWN and name != WHERE]
    sets: list[tuple[str, ...]] = [(), *((name,) for name in odds), *combinations(odds, 2)]
    links = {name: _sign_terms(knowledge, scale, name, odds) for name, _ in known if name in knowledge.signs}
    chances = {
        name: {cause: spoken(scale, knowledge.checks[name], name, knowledge.causes[cause]) for cause in odds}
        for name, _ in known
        if name in knowledge.checks
    }
    weights: list[tuple[tuple[str, ...], float]] = []
    for held in sets:
        weight = math.prod((odds[cause] for cause in held), start=1.0)
        for name, state in known:
            if name in links:
                shown = _shown(scale.alone(name), links[name], held)
                weight *= shown if state == PRESENT else 1.0 - shown
            else:
                weight *= _result(scale.usual(knowledge.checks[name]), chances[name], held).get(state, 1.0)
        weights.append((held, weight))
    total = sum(weight for _, weight in weights)
    ordered = sorted(((h, w / total) for h, w in weights), key=lambda item: (-item[1], item[0]))
    return Weighed(tuple(ordered))


def _odds(knowledge: Knowledge, scale: Scale, evidence: Evidence, facts: Facts) -> dict[str, float]:
    """Odds of each cause that the place and the facts allow, before any sign."""
    place = evidence.get(WHERE)
    out: dict[str, float] = {}
    for name, cause in knowledge.causes.items():
        if place in ("bed", "heap", "land") and place not in cause.places:
            continue
        chance = scale.of(f"met_{cause.met}")
        value = chance / (1.0 - chance)
        for lean in cause.leans:
            if condition_of(lean.when)(facts) is True:
                value *= 0.0 if lean.by == "ruled_out" else scale.of(lean.by)
        if value > 0.0:
            out[name] = value
    return out


def _sign_terms(
    knowledge: Knowledge, scale: Scale, sign: str, causes: Iterable[str]
) -> dict[str, tuple[float, float]]:
    """For each cause that speaks about a sign: (chance to show it, factor on showing of itself)."""
    out: dict[str, tuple[float, float]] = {}
    for name in causes:
        link = knowledge.causes[name].signs.get(sign)
        if link is not None:
            strength = scale.of(link.strength)
            out[name] = (0.0, strength) if link.strength == "against" else (strength, 1.0)
    return out


def _shown(alone: float, terms: Mapping[str, tuple[float, float]], held: tuple[str, ...]) -> float:
    """Noisy or: the chance that a sign shows."""
    hidden, by_itself = 1.0, alone
    for cause in held:
        if cause in terms:
            chance, factor = terms[cause]
            hidden *= 1.0 - chance
            by_itself *= factor
    return 1.0 - hidden * (1.0 - by_itself)


def spoken(scale: Scale, check: Check, name: str, cause: Cause) -> dict[str, float] | None:
    """The chances of a check's results where one cause is at work, or None where it says nothing."""
    usual = scale.usual(check)
    if name == WHERE:
        told = {str(place): 1.0 / len(cause.places) for place in cause.places}
    else:
        link = cause.checks.get(name)
        if link is None:
            return None
        told = {
            result: usual[result] * scale.of("against") if word == "against" else scale.of(word)
            for result, word in link.results.items()
        }
    rest = sum(usual[result] for result in usual if result not in told)
    left = max(0.0, 1.0 - sum(told.values()))
    full = {r: told[r] if r in told else (left * usual[r] / rest if rest else 0.0) for r in usual}
    total = sum(full.values())
    return {r: (1.0 - _FLOOR) * value / total + _FLOOR * usual[r] for r, value in full.items()}


def _result(
    usual: dict[str, float], chances: Mapping[str, dict[str, float] | None], held: tuple[str, ...]
) -> dict[str, float]:
    """Chances of a check's results: the mean of those causes that speak, else the usual ones."""
    speaking = [found for cause in held if (found := chances.get(cause)) is not None]
    if not speaking:
        return usual
    return {result: sum(one[result] for one in speaking) / len(speaking) for result in usual}


def outlook(
    knowledge: Knowledge, weighed: Weighed, check: str
) -> list[tuple[str, float, list[tuple[tuple[str, ...], float]]]]:
    """For each result of a check: its chance, and the hypotheses' chances once it is known."""
    scale = Scale(knowledge)
    entry = knowledge.checks[check]
    usual = scale.usual(entry)
    kept, mass = [], 0.0
    for held, weight in weighed.hypotheses:  # the unlikeliest hypotheses cannot move the answer
        kept.append((held, weight))
        mass += weight
        if mass > 0.995:
            break
    chances = {
        cause: spoken(scale, entry, check, knowledge.causes[cause])
        for cause in {cause for held, _ in kept for cause in held}
    }
    tables = [(held, weight, _result(usual, chances, held)) for held, weight in kept]
    out = []
    for result in entry.results:
        joint = [(held, weight * table[result]) for held, weight, table in tables]
        total = sum(weight for _, weight in joint)
        if total > 0.0:
            out.append((result, total / mass, [(held, weight / total) for held, weight in joint]))
    return out
