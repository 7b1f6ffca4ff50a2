"""Remedies of a cause, each sized as far as the numbers go."""

from __future__ import annotations

from advisor.knowledge import Knowledge
from advisor.troubles.diagnosis import Diagnosis
from advisor.troubles.numbers import NotTold, Sized, Sum, Workings
from advisor.troubles.sizes_bed import BED_SUMS
from advisor.troubles.sizes_heap import HEAP_SUMS

__all__ = ["SUMS", "size", "sized_remedies"]

SUMS = BED_SUMS | HEAP_SUMS


def sized_remedies(diagnosis: Diagnosis, cause: str) -> tuple[Sized, ...]:
    """The remedies of a cause in their order. Check results (the squeeze test) count as facts."""
    facts = {**diagnosis.evidence, **diagnosis.facts}
    return tuple(
        size(diagnosis.knowledge, name, facts) for name in diagnosis.knowledge.causes[cause].remedies
    )


def size(knowledge: Knowledge, remedy: str, facts: dict[str, object]) -> Sized:
    """One remedy with its amounts. Where a number is lacking the sum is left out and the number asked."""
    name = knowledge.remedies[remedy].size
    if not name:
        return Sized(remedy)
    workings = Workings(knowledge, facts)
    try:
        found = SUMS[name](workings)
    except NotTold as lacking:
        asks = tuple(dict.fromkeys([lacking.name, *workings.lacking]))
        return Sized(remedy, name, Sum(()), tuple(workings.used.values()), asks)
    return Sized(remedy, name, found, tuple(workings.used.values()), tuple(workings.lacking))
