"""Troubles: what is wrong with a bed, a heap or the land it went on, and what to do about it today.

    found = start(knowledge, ["wet surface"], farm_facts(plan))     # signs by neutral words or ids
    found = answer(found, found.next_check.id, "drips")             # or "unknown": I cannot check that
    found.danger; found.causes; found.next_check; found.remedy(found.causes[0].id); found.to_words("us")

All immutable. `found.to_json()` is what a case keeps, `restored(knowledge, kept)` brings it back.
"""

from __future__ import annotations

from advisor.troubles.diagnosis import (
    Diagnosis,
    NextCheck,
    RankedCause,
    UnknownEvidence,
    answer,
    restored,
    sign_id,
    start,
)

__all__ = [
    "Diagnosis", "NextCheck", "RankedCause", "UnknownEvidence", "answer", "restored", "sign_id", "start",
]  # fmt: skip
