"""What is told by how it differs from what was told before: dates that move, animals and bales that come or go."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from advisor.language.lexicon import Lexicon
from advisor.language.meaning import Meaning
from advisor.language.scan import Scan
from advisor.language.shifts import moved_dates
from advisor.language.tallies import tallied

__all__ = ["moved"]

_LABELS = {"start": "date in", "end": "date out", "days": "days housed"}
#: questions that a bare number answers, so that 'another 5' is no change of something told
_NUMBERED = ("count", "animals", "amount", "materials", "rate")


def moved(scan: Scan, lexicon: Lexicon, before: Mapping[str, Any], slot: str) -> Meaning | None:
    """The correction that a move makes of what was told before; None where nothing moves."""
    dates = moved_dates(scan, lexicon, before)
    if dates:
        corrects = [label for key, label in _LABELS.items() if key in dates][:1]
        return Meaning("correction", facts={**dates, "corrects": corrects}, about=corrects)
    tally = None if slot in _NUMBERED else tallied(scan, lexicon, before)
    if tally is None or (slot and not tally.named):
        return None
    facts = {**tally.facts, "corrects": [tally.corrects]}
    queried = [tally.queried] if tally.queried else []
    return Meaning("correction", facts=facts, queried=queried, about=[tally.corrects])
