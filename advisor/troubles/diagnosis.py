"""The diagnosis: what is known so far, what it points to, and what to look at next.

Immutable: `start` and `answer` give a new one. All of it follows from the evidence and the facts, so that only
these are stored (`to_json`, `restored`).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from advisor.knowledge import Knowledge
from advisor.knowledge.models_troubles import Danger
from advisor.reasoning.rules import condition_of
from advisor.troubles.reasons import Change, Reason, reasons_for, unexplained, what_changes
from advisor.troubles.weigh import (
    ABSENT,
    PRESENT,
    UNKNOWN,
    WHERE,
    Scale,
    Weighed,
    checks_of_facts,
    outlook,
    weigh,
)

__all__ = [
    "Diagnosis", "NextCheck", "RankedCause", "UnknownEvidence", "answer", "restored", "sign_id", "start",
]  # fmt: skip

_LEADING = 6  # causes that a check should part from each other
_SURE_OF_PLACE = 0.6
_LEAST_GAIN = 0.02  # of an even guess between two


class UnknownEvidence(ValueError):
    """A sign, check or result that the knowledge base does not hold."""


@dataclass(frozen=True)
class RankedCause:
    """A cause with its chance and the word for it."""

    id: str
    name: str
    chance: float
    word: str
    about: str
    because: tuple[Reason, ...]
    against: tuple[Reason, ...]
    unexplained: tuple[str, ...]
    remedies: tuple[str, ...]
    call: str
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class NextCheck:
    """The check worth most for its effort."""

    id: str
    ask: str
    how: str
    caution: str
    effort: str
    results: Mapping[str, str]
    parts: tuple[str, ...]
    gain: float


@dataclass(frozen=True)
class Diagnosis:
    """Evidence (sign: present or absent; check: its result; or unknown) and facts of the farm."""

    knowledge: Knowledge = field(repr=False, compare=False)
    told: Mapping[str, str]
    facts: Mapping[str, Any] = field(default_factory=dict)

    @cached_property
    def evidence(self) -> Mapping[str, str]:
        """What was told, and what the farm's facts answer by themselves."""
        return {**checks_of_facts(self.knowledge, self.plain_facts), **self.told}

    @cached_property
    def plain_facts(self) -> Mapping[str, Any]:
        """Facts with the middle value where a range is held."""
        return {name: _plain(value) for name, value in self.facts.items()}

    @cached_property
    def weighed(self) -> Weighed:
        """Chances of every hypothesis."""
        return weigh(self.knowledge, self.evidence, self.plain_facts)

    @cached_property
    def dangers(self) -> tuple[tuple[str, Danger], ...]:
        """Dangers that the signs, readings and facts raise, worst first."""
        facts = {**self.plain_facts, **{k: v for k, v in self.evidence.items() if v != UNKNOWN}}
        raised = []
        for name, danger in self.knowledge.dangers.items():
            signed = any(self.evidence.get(sign) == PRESENT for sign in danger.signs)
            if signed or condition_of(danger.when)(facts) is True:
                raised.append((name, danger))
        return tuple(sorted(raised, key=lambda item: (item[1].rank, item[0])))

    @property
    def danger(self) -> Danger | None:
        """The worst danger, or None."""
        return self.dangers[0][1] if self.dangers else None

    @property
    def stopped(self) -> bool:
        """Whether a danger comes before every question and all other advice."""
        return any(danger.stops for _, danger in self.dangers)

    @cached_property
    def barred(self) -> frozenset[str]:
        """Checks that a danger forbids: nobody is sent to dig where gas may be shut in."""
        return frozenset(check for _, danger in self.dangers for check in danger.bars)

    @cached_property
    def causes(self) -> tuple[RankedCause, ...]:
        """Causes that are at least possible, likeliest first; at most five. Empty where nothing was told."""
        if not any(state in (PRESENT, ABSENT) or name != WHERE for name, state in self.told.items()):
            return ()
        scale = Scale(self.knowledge)
        found: list[RankedCause] = []
        for name, chance in self.weighed.ranked()[:5]:
            if found and (chance < scale.of("word_possible") / 2 and len(found) >= 3):
                break
            entry = self.knowledge.causes[name]
            reasons = reasons_for(self.knowledge, name, self.evidence, self.plain_facts)
            found.append(
                RankedCause(
                    id=name, name=entry.name, chance=chance, word=self.word(chance), about=entry.about,
                    because=tuple(r for r in reasons if r.weight > 0),
                    against=tuple(r for r in reasons if r.weight < 0),
                    unexplained=unexplained(self.knowledge, name, self.evidence),
                    remedies=entry.remedies, call=entry.call, cautions=entry.cautions,
                )
            )  # fmt: skip
        return tuple(found)

    def word(self, chance: float) -> str:
        """The word for a chance: very_likely, likely, possible or less_likely."""
        scale = Scale(self.knowledge)
        for word in ("very_likely", "likely", "possible"):
            if chance >= scale.of(f"word_{word}"):
                return word
        return "less_likely"

    @cached_property
    def next_check(self) -> NextCheck | None:
        """The check with the best expected gain for its effort; None where it is settled or an emergency."""
        if self.stopped or not self.causes:
            return None
        scale = Scale(self.knowledge)
        leading = [name for name, _ in self.weighed.ranked()[:_LEADING]]
        if self.causes[0].chance >= scale.of("settled"):
            return None
        best: tuple[float, str] | None = None
        for name, check in self.knowledge.checks.items():
            if name in self.evidence or name in self.barred or not self._there(check.place):
                continue
            gain = self._gain(name, leading)
            if gain < _LEAST_GAIN:
                continue
            value = gain / scale.of(f"effort_{check.effort}")
            if best is None or value > best[0] + 1e-12:
                best = (value, name)
        return self._as_check(best[1], leading) if best else None

    def _there(self, place: str | None) -> bool:
        """Whether a check bound to a place can be asked: the place was told, or all but follows from the signs."""
        told = self.evidence.get(WHERE)
        if place is None or told == place:
            return True
        if told not in (None, UNKNOWN):
            return False
        fits = {name: place in cause.places for name, cause in self.knowledge.causes.items()}
        return self.weighed.within(fits) >= _SURE_OF_PLACE * (1.0 - self.weighed.none)

    def _gain(self, check: str, leading: list[str]) -> float:
        """Expected fall of doubt about the leading causes. [bit]"""
        rows = [self.weighed.names.index(name) for name in leading]
        before = sum(_doubt(float(chance)) for chance in self.weighed.chances()[rows])
        after = sum(
            one.likely * _doubt(float(chance))
            for one in outlook(self.knowledge, self.weighed, check)
            for chance in one.chances[rows]
        )
        return before - after

    def _as_check(self, name: str, leading: list[str]) -> NextCheck:
        check = self.knowledge.checks[name]
        now = self.weighed.chances()
        moved = now * 0.0
        for one in outlook(self.knowledge, self.weighed, name):
            moved = moved + one.likely * abs(one.chances - now)
        rows = {cause: self.weighed.names.index(cause) for cause in leading}
        parts = sorted(leading, key=lambda cause: (-float(moved[rows[cause]]), cause))[:2]
        return NextCheck(
            id=name, ask=check.ask, how=check.how, caution=check.caution, effort=check.effort,
            results={result: entry.name for result, entry in check.results.items()},
            parts=tuple(self.knowledge.causes[cause].name for cause in parts),
            gain=self._gain(name, leading),
        )  # fmt: skip

    @cached_property
    def changes(self) -> tuple[Change, ...]:
        """What would change the ranking: results not yet known that would put another cause first."""
        found = what_changes(self.knowledge, self.weighed, self.evidence) if self.causes else ()
        return tuple(change for change in found if change.check not in self.barred)

    def remedy(self, cause: str) -> tuple[Any, ...]:
        """The remedies of a cause in order, each sized as far as the numbers go."""
        from advisor.troubles.sized import sized_remedies

        return sized_remedies(self, cause)

    def to_words(self, units: str = "metric") -> str:
        """All of it in plain words."""
        from advisor.troubles.words import diagnosis_text

        return diagnosis_text(self, "us" if units == "us" else "metric")

    def to_json(self) -> dict[str, Any]:
        """Evidence and facts, to be stored with a case."""
        return {"told": dict(self.told), "facts": {k: _json(v) for k, v in self.facts.items()}}


def start(
    knowledge: Knowledge,
    signs: Mapping[str, str] | Iterable[str],
    farm_facts: Mapping[str, Any] | None = None,
) -> Diagnosis:
    """A diagnosis from signs: names or ids, all present, or a mapping to present, absent or unknown.

    A mapping may hold check results too. Raises UnknownEvidence.
    """
    pairs = signs.items() if isinstance(signs, Mapping) else ((sign, PRESENT) for sign in signs)
    found = Diagnosis(knowledge, {}, dict(farm_facts or {}))
    for name, state in pairs:
        found = answer(found, name, state)
    return found


def answer(diagnosis: Diagnosis, check_id: str, result: str) -> Diagnosis:
    """The diagnosis with a check's result (or a sign: present, absent); 'unknown' where it cannot be checked.

    A later answer to the same check takes the place of the earlier one. Raises UnknownEvidence.
    """
    knowledge = diagnosis.knowledge
    check = knowledge.checks.get(check_id)
    if check is not None:
        if result != UNKNOWN and result not in check.results:
            known = ", ".join([*check.results, UNKNOWN])
            raise UnknownEvidence(f"'{result}' is no result of '{check_id}'; there are {known}")
        name = check_id
    else:
        name = sign_id(knowledge, check_id)
        if result not in (PRESENT, ABSENT, UNKNOWN):
            raise UnknownEvidence(f"'{check_id}' can be {PRESENT}, {ABSENT} or {UNKNOWN}, not '{result}'")
    told = {**diagnosis.told, name: result}
    return Diagnosis(knowledge, told, diagnosis.facts)


def sign_id(knowledge: Knowledge, name: str) -> str:
    """The id of a sign given by id or by its neutral words. Raises UnknownEvidence."""
    if name in knowledge.signs:
        return name
    wanted = " ".join(name.lower().replace("_", " ").split())
    as_id = wanted.replace(" ", "_").replace("-", "_")
    if as_id in knowledge.signs:
        return as_id
    for key, sign in knowledge.signs.items():
        if sign.name == wanted:
            return key
    import difflib

    close = difflib.get_close_matches(wanted, [sign.name for sign in knowledge.signs.values()], 1)
    hint = f"; did you mean '{close[0]}'?" if close else ""
    raise UnknownEvidence(f"no sign is called '{name}'{hint}")


def restored(knowledge: Knowledge, stored: Mapping[str, Any]) -> Diagnosis:
    """The diagnosis that `to_json` stored. What the knowledge base no longer holds is left out."""
    told = {
        name: state
        for name, state in stored.get("told", {}).items()
        if name in knowledge.signs
        or (name in knowledge.checks and state in (*knowledge.checks[name].results, UNKNOWN))
    }
    return Diagnosis(knowledge, told, dict(stored.get("facts", {})))


def _doubt(chance: float) -> float:
    """How undecided a yes or no is. [bit]"""
    if not 0.0 < chance < 1.0:
        return 0.0
    return -(chance * math.log2(chance) + (1.0 - chance) * math.log2(1.0 - chance))


def _plain(value: Any) -> Any:
    """The middle of a [low, value, high]; other lists of three words stay lists."""
    if isinstance(value, list | tuple) and len(value) == 3 and all(isinstance(v, int | float) for v in value):
        return float(value[1])
    return value


def _json(value: Any) -> Any:
    if isinstance(value, tuple | list | set | frozenset):
        return [_json(item) for item in (sorted(value) if isinstance(value, set | frozenset) else value)]
    return value
