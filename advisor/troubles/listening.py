"""From a keeper's words to evidence: finer signs, readings, and what an answer to a check means.

The neutral symptom words and alarms come from the language layer; this adds what only a diagnosis asks.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any, TypeVar

from advisor.knowledge import Knowledge
from advisor.language.patterns import Grammar, PatternSet
from advisor.language.text import plain, root, tokenise
from advisor.troubles.weigh import ABSENT, PRESENT, UNKNOWN, WHERE

__all__ = ["evidence_in", "other_result", "readings_in", "result_of", "talk_of"]

Found = TypeVar("Found")
_NOT = {
    "no",
    "not",
    "never",
    "without",
    "isn't",
    "isnt",
    "aren't",
    "don't",
    "dont",
    "nothing",
    "neither",
    "nor",
}
_CANNOT = re.compile(
    r"\b(don'?t know|do not know|dunno|no idea|not sure|unsure|can'?t (check|see|tell|measure|look|say)|cannot|"
    r"no (thermometer|tube|meter|way)|haven'?t (got|looked|checked)|have not|skip|pass|who knows|no clue)\b"
)
_YES = re.compile(r"^\W*(yes|yeah|yep|aye|it does|they do|sure|definitely|i think so)\b")
_NO = re.compile(r"^\W*(no|nope|nah|it does not|it doesn'?t|they don'?t|not really)\b")


def evidence_in(
    knowledge: Knowledge, text: str, symptoms: Iterable[str] = (), alarms: Iterable[str] = ()
) -> dict[str, str]:
    """Signs in a message: those the language layer found, alarms, and the finer signs by their own words."""
    found: dict[str, str] = {}
    by_name = {sign.name: key for key, sign in knowledge.signs.items()}
    for symptom in symptoms:
        if symptom in by_name:
            found[by_name[symptom]] = PRESENT
    raised = set(alarms)
    for key, sign in knowledge.signs.items():
        if raised & set(sign.alarms):
            found[key] = PRESENT
    tokens = tokenise(plain(text))
    for hit in _patterns(knowledge).hits(tokens):
        if hit.name not in found:
            before = {token.text for token in tokens[max(0, hit.start - 2) : hit.start]}
            found[hit.name] = ABSENT if any(map(_denies, before)) else PRESENT
    patch = found.get("wet_patch") == PRESENT and "condensation" not in found
    if patch and result_of(knowledge, "wet_where", text) == "all_over":  # wet all over is no patch
        del found["wet_patch"]
        found |= {"wet_surface": PRESENT, "wet_where": "all_over"}
    place = result_of(knowledge, WHERE, text) if found else None
    if place not in (None, UNKNOWN):
        found[WHERE] = str(place)
    return found


def talk_of(text: str) -> str:
    """What else is said of a trouble on hand: 'gone' (it is mended), 'act_now' (what do I do), or ''."""
    from advisor.troubles.words import phrases

    tokens = tokenise(plain(text))
    for hit in _compiled(tuple(phrases()["talk"].items())).hits(tokens):
        if hit.name != "gone" or not any(_denies(token.text) for token in tokens):
            return hit.name
    return ""


def readings_in(quantities: Iterable[Mapping[str, Any]]) -> dict[str, float]:
    """Readings among the quantities of a message: temperatures and ammonia."""
    found: dict[str, float] = {}
    for quantity in quantities:
        value = quantity.get("si")
        if not isinstance(value, int | float) or isinstance(value, bool):
            continue
        of = str(quantity.get("of", ""))
        if quantity.get("si_unit") == "degC" and any(
            word in of for word in ("pack", "heap", "pile", "compost")
        ):
            found["pack_temperature_c" if "pack" in of else "heap_temperature_c"] = float(value)
        elif "ammonia" in of or (quantity.get("si_unit") == "ppm" and "ammonia" in of):
            found["ammonia_reading_ppm"] = float(value)
    return found


def result_of(knowledge: Knowledge, check: str, text: str) -> str | None:
    """Which result of a check an answer means; 'unknown' for "I cannot check that"; None where it means none.

    The result whose longest words stand in the answer wins; two equally good ones count as none.
    """
    said = plain(text)
    entry = knowledge.checks[check]
    if _CANNOT.search(said):
        return UNKNOWN
    if set(entry.results) >= {"yes", "no"}:
        if _NO.search(said):
            return "no"
        if _YES.search(said):
            return "yes"
    best = _sizes(knowledge, check, said)
    return _single(best)


def other_result(knowledge: Knowledge, checks: Iterable[str], text: str) -> tuple[str, str] | None:
    """The check and result of another look that an answer tells of instead; None where it is not plain."""
    said = plain(text)
    best = {
        (check, result): size
        for check in checks
        for result, size in _sizes(knowledge, check, said).items()
        if result not in ("yes", "no")
    }
    return _single(best)


def _single(sizes: Mapping[Found, int]) -> Found | None:
    """The one with the most words, or None where there is none or more than one."""
    winners = [key for key, size in sizes.items() if size == max(sizes.values())]
    return winners[0] if len(winners) == 1 else None


def _sizes(knowledge: Knowledge, check: str, said: str) -> dict[str, int]:
    """Results whose words stand in what was said, with the number of words that matched."""
    tokens = tokenise(said)
    roots = [root(token.text) for token in tokens]
    best: dict[str, int] = {}
    for result, held in knowledge.checks[check].results.items():
        for words in (*held.words, held.name, result.replace("_", " ")):
            wanted = [root(token.text) for token in tokenise(plain(words)) if token.kind == "word"]
            at = _run(roots, wanted)
            if at is None:
                continue
            denied = any(_denies(tokens[i].text) for i in range(max(0, at - 2), at))
            if denied and not _denies(wanted[0]):
                continue
            best[result] = max(best.get(result, 0), len(wanted))
    return best


def _denies(word: str) -> bool:
    return word in _NOT or word.endswith("n't")


@lru_cache(maxsize=4)
def _compiled(table: tuple[tuple[str, str], ...]) -> PatternSet:
    return PatternSet(dict(table), Grammar({}))


def _patterns(knowledge: Knowledge) -> PatternSet:
    """The finer signs' patterns. Emergencies have none here: the language layer knows idle talk from alarm."""
    return _compiled(
        tuple((key, "\n".join(sign.words)) for key, sign in knowledge.signs.items() if sign.words)
    )


def _run(roots: Sequence[str], wanted: Sequence[str]) -> int | None:
    """Where the words stand together, or None."""
    if not wanted:
        return None
    for at in range(len(roots) - len(wanted) + 1):
        if list(roots[at : at + len(wanted)]) == list(wanted):
            return at
    return None
