"""Choices, options, yes and no."""

from __future__ import annotations

from typing import Any

from advisor.language.found import Found
from advisor.language.lexicon import Lexicon
from advisor.language.scan import Scan
from advisor.language.text import Token

__all__ = ["fill_choices"]

_LETTERS = {"a": 1, "b": 2, "c": 3, "d": 4}

#: answers to "pigs or hens" beside the two
_OTHER_WAYS = ("turned by tractor", "turned by fork")


def _question_id(scan: Scan, lexicon: Lexicon) -> str:
    return next((name for name, entry in lexicon.tables.asked.items() if entry is scan.asked), "")


def fill_choices(
    scan: Scan, lexicon: Lexicon, out: Found, tokens: list[Token], hits: set[str], asking: bool
) -> None:
    """Read the choice made, by the question asked or by a phrase that chooses without being asked."""
    facts: dict[str, Any] = out.facts
    asked = scan.asked if not asking else None
    question = _question_id(scan, lexicon) if asked else ""
    texts = [t.text for t in tokens]
    words = set(texts)
    if asked is not None and asked.slot == "option":
        _option(texts, facts, out, lexicon)
        return
    if asked is not None and "unsure" in hits:
        tokens = _without_doubt(tokens, lexicon)  # the 'no' of 'no idea' answers nothing
        texts = [t.text for t in tokens]
        words = set(texts)
        hits = {h.name for h in lexicon.acts.hits(tokens)} if tokens else set()
    chosen: list[str] = []
    if asked is not None and asked.slot == "choice":
        signs = lexicon.choice_signs.hits(tokens)
        for hit in signs:
            if question in lexicon.tables.choices[hit.name].questions and hit.name not in chosen:
                if _negated(texts, hit.start) and not hit.name.startswith(("unroofed", "part")):
                    bucket = out.facts.setdefault("no_choice", [])
                    if hit.name not in bucket:
                        bucket.append(hit.name)
                else:
                    chosen.append(hit.name)
        if question in ("base_material", "pigs_or_hens", "turned_by", "compost_for"):
            two_way = question in ("base_material", "pigs_or_hens")
            if (
                words & {"both", "mix", "mixture", "either", "combination"}
                and two_way
                and not words & {"no", "not"}
            ):
                if words & {"either"} and not words & {"both"}:
                    out.clarify.append("which of the two")
                    return
                facts["choice"] = ["both options"]
                facts.pop("no_choice", None)
                return
            if words & {"neither", "none", "nothing"} and two_way:
                facts["choice"] = ["none of the options"]
                facts.pop("no_choice", None)
                return
            if two_way and len(chosen) == 2 and not set(chosen) & set(_OTHER_WAYS):
                second = max(hit.start for hit in signs)
                if "or" in words:
                    out.clarify.append("which of the two")
                elif not words & {"and", "both", "plus", "then"} and len(texts) - second > 3:
                    first = min(signs, key=lambda hit: hit.start).name
                    chosen = [first]  # 'hens, pigs are too much trouble'
                    facts["choice"] = [name.removesuffix(" (of two)") for name in chosen]
                    facts["animals"] = [a for a in facts.get("animals", []) if set(a) != {"class"}]
                elif "not" in words or "instead" in words or "rather" in words:
                    chosen = chosen[:1]
                    facts["choice"] = chosen
                else:
                    facts["choice"] = ["both options"]
                return
        if question == "roof":
            chosen = _roof(chosen, facts, words, hits)
        if len(chosen) > 1 and question == "floor":
            chosen = chosen[:2]
            if "or" in words:
                out.clarify.append("which floor")
                return
    if not chosen and not facts.get("no_choice"):
        for hit in lexicon.choice_anywhere.hits(tokens):
            if hit.name not in chosen and not asking:
                if hit.name == "roofed" and any(n in chosen for n in ("part roofed", "unroofed")):
                    continue
                chosen.append(hit.name)
        if "part roofed" in chosen and "roofed" in chosen:
            chosen.remove("roofed")
        if "unroofed" in chosen and "roofed" in chosen:
            chosen.remove("roofed")
    chosen = [name.removesuffix(" (of two)") for name in chosen]
    if "no_choice" in facts:
        facts["no_choice"] = [name.removesuffix(" (of two)") for name in facts["no_choice"]]
    if asked is not None and asked.slot == "choice":
        _names_chosen(facts, question, chosen)
    elif chosen and any(name.startswith("turned by") for name in chosen):
        facts["animals"] = [a for a in facts.get("animals", []) if set(a) != {"class"}]
    if chosen:
        facts["choice"] = chosen
    if asked is not None and asked.slot == "yes_no":
        answer = _yes_no(texts, hits, question)
        if answer:
            facts["yes_no"] = answer


def _without_doubt(tokens: list[Token], lexicon: Lexicon) -> list[Token]:
    """The tokens that no phrase of not knowing covers."""
    covered: set[int] = set()
    for hit in lexicon.acts.hits(tokens):
        if hit.name == "unsure":
            covered.update(range(hit.start, hit.end + 1 if tokens[hit.end : hit.end + 1] else hit.end))
    return [token for place, token in enumerate(tokens) if place not in covered]


def _names_chosen(facts: dict[str, Any], question: str, chosen: list[str]) -> None:
    """In the answer to a choice, a name without a number is the choice, not stock."""
    facts["animals"] = [a for a in facts.get("animals", []) if set(a) - {"class", "breed"}]
    facts.pop("no_animals", None)
    facts["materials"] = [
        m for m in facts.get("materials", []) if set(m) - {"name"} or question == "base_material"
    ]
    if question == "base_material":
        names = {"straw base layer": "straw", "wood chips base layer": "wood chips"}
        for name in chosen:
            if name in names and not facts["materials"]:
                facts["materials"] = [{"name": names[name]}]
    else:
        facts.pop("no_materials", None)


def _roof(chosen: list[str], facts: dict[str, Any], words: set[str], hits: set[str]) -> list[str]:
    if "part roofed" in chosen:
        facts.pop("no_choice", None)
        return ["part roofed"]
    if "yes" in words and "roof" in words and "no_choice" not in facts:
        facts["yes_no"] = "yes"
        return ["roofed"]  # 'open on the south side but yes, there is a roof'
    if "unroofed" in chosen or "no_choice" in facts:
        facts.pop("no_choice", None)
        facts["yes_no"] = "no"
        return ["unroofed"]
    if "roofed" in chosen or "yes" in hits:
        facts["yes_no"] = "yes"
        return ["roofed"]
    if "no" in hits:
        facts["yes_no"] = "no"
        return ["unroofed"]
    return chosen


def _negated(texts: list[str], start: int) -> bool:
    return bool(set(texts[max(0, start - 3) : start]) & {"no", "not", "never", "without", "neither"})


def _yes_no(texts: list[str], hits: set[str], question: str) -> str:
    words = set(texts)
    first = texts[0] if texts else ""
    if first in ("yes", "no") and len(texts) < 4:
        return first
    if question == "out_by_day":
        if "no" in hits and first != "yes" and not ("yes" in words and not words & {"no", "not"}):
            return "no"
        if "yes" in hits or (words & {"out", "outside", "outdoors"} and not words & {"not", "never", "no"}):
            return "yes"
    if "no" in hits and first != "yes":
        return "no"
    if "yes" in hits:
        return "yes"
    return ""


def _option(texts: list[str], facts: dict[str, Any], out: Found, lexicon: Lexicon) -> None:
    ordinals, small = lexicon.tables.numbers.ordinal, lexicon.tables.numbers.small
    words = set(texts)
    if words & {"both"}:
        facts["choice"] = ["both options"]
        return
    if words & {"none", "neither"} or ("not" in words and "either" in words):
        facts["choice"] = ["none of the options"]
        return
    found: list[int] = []
    for at, text in enumerate(texts):
        before = texts[at - 1] if at else ""
        after = texts[at + 1] if at + 1 < len(texts) else ""
        if text.isdecimal() and after in ("a", "per", "every", "/"):
            continue  # 'i buy 10 a week'
        if text.isdecimal() and len(text) <= 2 and before not in ("not",):
            found.append(int(text))
        elif text in ordinals:
            found.append(ordinals[text])
        elif 0 < small.get(text, 0) <= 12 and not (
            text == "one"
            and (
                before in ("the", "that", "this", "last", "which")
                or (before in ordinals)
                or before in ("st", "nd", "rd", "th")
            )
        ):
            found.append(int(small[text]))
        elif text in _LETTERS and (
            len(texts) == 1
            or before in ("option", "number", "letter", "answer", "choice")
            or (text != "a" and len(texts) <= 3)
        ):
            found.append(_LETTERS[text])
        elif text in ("last", "bottom", "latter", "top", "former") and "question" not in words:
            if text in ("top", "former"):
                found.append(1)
            elif text == "latter":
                found.append(2)
            else:
                facts["choice"] = ["last option"]
                return
    if len(set(found)) == 1:
        facts["choice"] = [f"option {found[0]}"]
    elif len(set(found)) == 2 and "and" in words:
        facts["choice"] = [f"option {n}" for n in found]
    elif found:
        out.clarify.append("which option")
