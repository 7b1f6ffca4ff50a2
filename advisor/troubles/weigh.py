"""How likely each cause is, given signs, checks and facts of the farm.

A sign shows when any cause at work brings it about, or of itself now and then (noisy or). A check has several
results; its chances come from the causes that speak about it. At most two causes at once are weighed, each
pair and each one alone, and none at all: "something not held here" stays a possible answer. What is not known
is left out, and so counts neither for nor against.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisor.knowledge import Knowledge
from advisor.knowledge.models_troubles import Cause, Check
from advisor.reasoning.rules import condition_of

__all__ = [
    "ABSENT", "PRESENT", "UNKNOWN", "WHERE", "Evidence", "Outlook", "Scale", "Weighed", "checks_of_facts", "outlook",
    "spoken", "weigh",
]  # fmt: skip

PRESENT, ABSENT, UNKNOWN = "present", "absent", "unknown"
WHERE = "where_is_it"
Evidence = Mapping[str, str]
Facts = Mapping[str, object]
Array = NDArray[np.float64]

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


class Tables:
    """The links as numbers, one row a cause; the last row stands for no cause and says nothing."""

    def __init__(self, knowledge: Knowledge) -> None:
        self.scale = Scale(knowledge)
        self.names = tuple(knowledge.causes)
        causes = list(knowledge.causes.values())
        words = {word: self.scale.of(word) for word in ("always", "often", "sometimes", "seldom", "against")}
        count = len(causes) + 1
        self.hides = {sign: np.ones(count) for sign in knowledge.signs}  # 1 - chance to show the sign
        self.keeps = {sign: np.ones(count) for sign in knowledge.signs}  # factor on showing of itself
        self.alone = {sign: self.scale.alone(sign) for sign in knowledge.signs}
        self.speaks = {check: np.zeros(count) for check in knowledge.checks}
        self.shows = {name: np.zeros((count, len(check.results))) for name, check in knowledge.checks.items()}
        self.usual = {
            name: np.array(list(self.scale.usual(check).values())) for name, check in knowledge.checks.items()
        }
        for row, cause in enumerate(causes):
            for sign, link in cause.signs.items():
                if link.strength == "against":
                    self.keeps[sign][row] = words["against"]
                else:
                    self.hides[sign][row] = 1.0 - words[link.strength]
            for name in (*cause.checks, WHERE):
                found = spoken(self.scale, knowledge.checks[name], name, cause)
                if found is not None:
                    self.speaks[name][row] = 1.0
                    self.shows[name][row] = list(found.values())


_built: dict[int, tuple[Knowledge, Tables]] = {}


def tables(knowledge: Knowledge) -> Tables:
    """The tables of a knowledge base, built once."""
    held = _built.get(id(knowledge))
    if held is None or held[0] is not knowledge:
        _built.clear()
        _built[id(knowledge)] = held = (knowledge, Tables(knowledge))
    return held[1]


@dataclass(frozen=True)
class Weighed:
    """Chances of hypotheses: no cause, one, or two (`one`, `two` are rows; the last row is none)."""

    names: tuple[str, ...]
    one: NDArray[np.intp]
    two: NDArray[np.intp]
    weight: Array  # adds up to one

    def chances(self, weight: Array | None = None) -> Array:
        """The chance of each cause, by row."""
        held = self.weight if weight is None else weight
        count = len(self.names) + 1
        found = np.zeros(count)
        for rows in (self.one, self.two):
            found += np.bincount(rows, held, count)
        return found[:-1]

    def chance(self, cause: str) -> float:
        """The chance that a cause is at work."""
        return float(self.chances()[self.names.index(cause)])

    @property
    def none(self) -> float:
        """The chance that no cause held here explains it."""
        return float(self.weight[self.one == len(self.names)].sum())

    def within(self, causes: Mapping[str, bool]) -> float:
        """The chance that something is at work and all of it is among the causes marked."""
        marked = np.array([*(causes[name] for name in self.names), True])
        some = self.one != len(self.names)
        return float(self.weight[some & marked[self.one] & marked[self.two]].sum())

    def ranked(self) -> list[tuple[str, float]]:
        """Causes with their chances, likeliest first."""
        # Rounded, so that causes that stand level keep one order whatever else the knowledge base holds.
        found = zip(self.names, (round(float(x), 12) for x in self.chances()), strict=True)
        return sorted((item for item in found if item[1] > 0.0), key=lambda item: (-item[1], item[0]))


@dataclass(frozen=True)
class Outlook:
    """A result that a check may have: how likely it is, and the chance of each cause (by row) then."""

    result: str
    likely: float
    chances: Array


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
    table = tables(knowledge)
    odds = _odds(knowledge, table, evidence, facts)
    last = len(table.names)
    possible = np.flatnonzero(odds[:-1])
    first, second = np.triu_indices(len(possible), 1)
    one = np.concatenate(([last], possible, possible[first]))
    two = np.concatenate(([last], np.full(len(possible), last), possible[second]))
    weight: Array = odds[one] * odds[two]
    for name, state in sorted(evidence.items()):
        if state == UNKNOWN or name == WHERE:
            continue
        if name in table.hides:
            hides, keeps = table.hides[name], table.keeps[name]
            shown = 1.0 - hides[one] * hides[two] * (1.0 - table.alone[name] * keeps[one] * keeps[two])
            weight = weight * (shown if state == PRESENT else 1.0 - shown)
        else:
            column = list(knowledge.checks[name].results).index(state)
            weight = weight * _results(table, name, one, two)[:, column]
    return Weighed(table.names, one, two, weight / weight.sum())


def _odds(knowledge: Knowledge, table: Tables, evidence: Evidence, facts: Facts) -> Array:
    """Odds of each cause that the place and the facts allow, before any sign; 1 for none."""
    place = evidence.get(WHERE)
    out = np.ones(len(table.names) + 1)
    for row, cause in enumerate(knowledge.causes.values()):
        chance = table.scale.of(f"met_{cause.met}")
        out[row] = chance / (1.0 - chance)
        if place in ("bed", "heap", "land") and place not in cause.places:
            out[row] = 0.0
        for lean in cause.leans:
            if condition_of(lean.when)(facts) is True:
                out[row] *= 0.0 if lean.by == "ruled_out" else table.scale.of(lean.by)
    return out


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


def _results(table: Tables, check: str, one: NDArray[np.intp], two: NDArray[np.intp]) -> Array:
    """Chances of a check's results by hypothesis: the mean of those causes that speak, else the usual ones."""
    shows, speaks = table.shows[check], table.speaks[check]
    speaking = speaks[one] + speaks[two]
    mean: Array = (shows[one] + shows[two]) / np.maximum(speaking, 1.0)[:, None]
    mean[speaking == 0.0] = table.usual[check]
    return mean


def outlook(knowledge: Knowledge, weighed: Weighed, check: str) -> list[Outlook]:
    """What each result of a check would make of the chances."""
    table = _results(tables(knowledge), check, weighed.one, weighed.two)
    out = []
    for column, result in enumerate(knowledge.checks[check].results):
        joint = weighed.weight * table[:, column]
        total = float(joint.sum())
        if total > 0.0:
            out.append(Outlook(result, total, weighed.chances(joint / total)))
    return out
