"""A diagnosis as JSON, in the form of advisor/contracts/diagnosis_out.schema.json."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from advisor.plan.wording import Units
from advisor.troubles.diagnosis import Diagnosis, NextCheck, RankedCause
from advisor.troubles.effect import Difference
from advisor.troubles.numbers import Amount, Sized
from advisor.troubles.reasons import Reason
from advisor.troubles.words import amount_text, ask_words, filled, phrases, working_text

__all__ = ["diagnosis_json"]

Effects = dict[str, Sequence[Difference]]


def diagnosis_json(
    diagnosis: Diagnosis, units: Units = "metric", effects: Effects | None = None
) -> dict[str, Any]:
    """The whole answer. `effects` are differences to the season by remedy id."""
    knowledge = diagnosis.knowledge
    causes = () if diagnosis.stopped else diagnosis.causes
    check = diagnosis.next_check
    return {
        "schema_version": 1,
        "evidence": dict(diagnosis.evidence),
        "dangers": [
            {
                "id": name, "name": danger.name, "stops": danger.stops, "call": danger.call,
                "now": [filled(knowledge, step, units) for step in danger.now],
                "never": [knowledge.nevers[n].do_not for n in danger.nevers],
                "cautions": list(danger.cautions), "sources": list(danger.sources), "seen": danger.seen,
            }
            for name, danger in diagnosis.dangers
        ],
        "causes": [_cause(diagnosis, cause, units, effects or {}) for cause in causes],
        "none_of_these": None if not causes else diagnosis.weighed.none,
        "next_check": None if check is None else _check(diagnosis, check, units),
        "would_change": [
            {
                "check": c.check, "ask": filled(knowledge, knowledge.checks[c.check].ask, units),
                "result": c.result, "then_first": c.cause, "chance": c.chance,
            }
            for c in (() if diagnosis.stopped else diagnosis.changes)
        ],
        "text": diagnosis.to_words(units),
    }  # fmt: skip


def _cause(diagnosis: Diagnosis, cause: RankedCause, units: Units, effects: Effects) -> dict[str, Any]:
    return {
        "id": cause.id, "name": cause.name, "chance": cause.chance, "word": cause.word, "about": cause.about,
        "because": [_reason(reason) for reason in cause.because],
        "against": [_reason(reason) for reason in cause.against],
        "unexplained": list(cause.unexplained), "call": cause.call or None, "cautions": list(cause.cautions),
        "remedies": [_remedy(diagnosis, sized, units, effects) for sized in diagnosis.remedy(cause.id)],
    }  # fmt: skip


def _reason(reason: Reason) -> dict[str, Any]:
    return {
        "kind": reason.kind, "id": reason.id, "state": reason.state, "why": reason.why, "weight": reason.weight,
        "source": reason.source, "seen": reason.seen,
    }  # fmt: skip


def _check(diagnosis: Diagnosis, check: NextCheck, units: Units) -> dict[str, Any]:
    return {
        "id": check.id, "ask": filled(diagnosis.knowledge, check.ask, units), "how": check.how or None,
        "caution": check.caution or None, "effort": check.effort, "results": dict(check.results),
        "parts": list(check.parts), "gain": check.gain,
    }  # fmt: skip


def _remedy(diagnosis: Diagnosis, sized: Sized, units: Units, effects: Effects) -> dict[str, Any]:
    knowledge = diagnosis.knowledge
    entry = knowledge.remedies[sized.remedy]
    return {
        "id": sized.remedy, "name": entry.name,
        "today": [filled(knowledge, step, units) for step in entry.today],
        "after": [filled(knowledge, step, units) for step in entry.after],
        "if_no_better": filled(knowledge, entry.worse, units) or None,
        "amounts": [_amount(amount, units) for amount in sized.sum.amounts],
        "working": working_text(sized, units) if sized.sum.working else None,
        "asks": [
            {"fact": name, "question": phrases()["asks"].get(name, "") or None} for name in sized.asks
        ],
        "questions": ask_words(sized),
        "used": [
            {
                "name": u.name, "label": u.label or None, "low": u.low, "value": u.value, "high": u.high,
                "unit": u.unit, "how": u.how, "seen": u.seen or None, "sources": list(u.sources),
            }
            for u in sized.used
        ],
        "season": [
            {"name": d.name, "label": d.label, "unit": d.unit, "before": list(d.before), "after": list(d.after)}
            for d in effects.get(sized.remedy, ())
        ],
        "never": [knowledge.nevers[name].do_not for name in entry.nevers],
        "cautions": list(entry.cautions), "sources": list(entry.sources), "seen": entry.seen,
    }  # fmt: skip


def _amount(amount: Amount, units: Units) -> dict[str, Any]:
    return {
        "key": amount.key, "label": phrases()["labels"][amount.key], "low": amount.low, "value": amount.value,
        "high": amount.high, "unit": amount.unit, "per": amount.per or None, "packs": amount.packs,
        "pack": amount.pack or None, "forkfuls": amount.forkfuls, "text": amount_text(amount, units),
    }  # fmt: skip
