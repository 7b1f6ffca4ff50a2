"""Emergencies in a message. Missing one is the worst mistake here, so a sign raises the alarm unless plainly calm."""

from __future__ import annotations

from advisor.language.lexicon import Lexicon
from advisor.language.scan import Scan

__all__ = ["find_alarms"]


def find_alarms(scan: Scan, lexicon: Lexicon) -> list[str]:
    """The kinds of emergency the message tells of, in the order of the table."""
    signs = lexicon.alarm_signs.hits(scan.tokens)
    if not signs:
        return []
    calm: dict[str, list[tuple[int, int]]] = {}
    for hit in lexicon.alarm_calm.hits(scan.tokens):
        calm.setdefault(hit.name, []).append((hit.start, hit.end))
    raised: list[str] = []
    for hit in signs:
        if hit.name in raised or hit.name in calm:
            continue
        if not _denied(scan, lexicon, hit.start):
            raised.append(hit.name)
    return [name for name in lexicon.tables.alarms if name in raised]


def _denied(scan: Scan, lexicon: Lexicon, start: int) -> bool:
    """'no smoke', 'nobody hurt', 'never any dizziness': the word just before takes it back."""
    before = [token.text for token in scan.tokens[max(0, start - 2) : start] if token.kind != "end"]
    return any(word in ("no", "nobody", "without", "never", "zero") for word in before)
