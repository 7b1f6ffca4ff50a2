"""Looking at a message as a whole: its parts, signs of trouble, commands, and whether it answers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from advisor.language.choose import fill_choices
from advisor.language.facts import find_facts
from advisor.language.found import Found
from advisor.language.lexicon import Lexicon
from advisor.language.meaning import Meaning
from advisor.language.patterns import Hit
from advisor.language.scan import Scan
from advisor.language.segments import Segment, segments
from advisor.language.slots import fill_rest
from advisor.language.text import Token

__all__ = ["Reader", "strong"]


class Reader:
    """A message, what was asked, and what was known."""

    def __init__(self, scan: Scan, before: Mapping[str, Any], lexicon: Lexicon) -> None:
        self.scan, self.before, self.lexicon = scan, before, lexicon
        self.tokens = list(scan.tokens)
        self.parts = segments(self.tokens, lexicon)
        self.slot = scan.asked.slot if scan.asked else ""
        self.hits = {h.name for h in lexicon.acts.hits(self.tokens)}
        self.words = scan.words()

    def part(self, segment: Segment) -> list[Token]:
        return self.tokens[segment.start : segment.end]

    def found(self, parts: list[Segment], asking: bool, skip: set[int] | None = None) -> Found:
        """Facts in some parts of the message."""
        spans = [(p.start, p.end) for p in parts]
        out, finder = find_facts(self.scan, self.lexicon, spans, asking)
        if skip:
            out.used |= skip
        fill_rest(self.scan, self.lexicon, finder)
        tokens = [t for p in parts for t in self.part(p)]
        hits = {h.name for h in self.lexicon.acts.hits(tokens)} if tokens else set()
        fill_choices(self.scan, self.lexicon, out, tokens, hits, asking)
        return out

    def symptoms(self, tokens: list[Token]) -> list[str]:
        found: list[str] = []
        spans: dict[str, tuple[int, int]] = {}
        for hit in self.lexicon.symptoms.hits(tokens):
            if hit.name in found or _denied(tokens, hit) or self._names_only(tokens, hit):
                continue
            if hit.name == "pack not heating" and _hot(tokens, hit):
                continue
            found.append(hit.name)
            spans[hit.name] = (hit.start, hit.end)
        caked, packed = spans.get("caked surface"), spans.get("compacted pack")
        apart = caked is not None and packed is not None and (caked[1] <= packed[0] or packed[1] <= caked[0])
        return [s for s in found if s in _settle(found) or (apart and s == "compacted pack")]

    def _names_only(self, tokens: list[Token], hit: Hit) -> bool:
        """'dust extracted straw', 'mouldy hay': a sign inside the name of a material is none."""
        return hit.end - hit.start <= 2 and all("material" in t.tags for t in tokens[hit.start : hit.end])

    def navigation(self, part: list[Token] | None = None) -> tuple[str, str] | None:
        """The command in the message, or in a part of it, and where it goes."""
        said = self.tokens if part is None else part
        tokens = [t for t in said if t.kind in ("word", "num")]
        if not tokens or len(tokens) > 16:
            return None
        hits = self.lexicon.navigation.hits(said)
        if not hits:
            return None
        best: Hit | None = None
        order = list(self.lexicon.tables.navigation)
        for hit in hits:
            if best is None or (hit.end - hit.start, -order.index(hit.name)) > (
                best.end - best.start,
                -order.index(best.name),
            ):
                best = hit
        assert best is not None
        covered = best.end - best.start
        plain_command = (
            best.name in ("summary", "print", "undo", "restart", "resume", "quit", "help")
            and len(tokens) <= 7
        )
        long_enough = covered >= 2 or len(tokens) <= 3 or plain_command
        if not long_enough or (len(tokens) > 9 and covered < 3):
            return None
        go = best.name
        if go == "undo" and self.hits & {"correction"} and any(t.kind == "num" for t in self.tokens):
            return None
        return go, self._go_to() if go == "goto" else ""

    def _go_to(self) -> str:
        places = self.lexicon.groups["topic_place"]
        text = " ".join(t.text for t in self.tokens)
        said = [p for p in places if f" {p} " in f" {text} "]
        for lead in (" about the ", " about ", " on the ", " on ", " to the ", " to ", " the ", " my "):
            at = text.rfind(lead)
            if at >= 0:
                rest = text[at + len(lead) :]
                named = [p for p in said if rest.startswith(p)]
                if named:
                    return max(named, key=len)
        return max(said, key=len) if said else ""

    def outside(self, tokens: list[Token]) -> str:
        hits = self.lexicon.outside.hits(tokens)
        return hits[0].name if hits else ""

    def _answers(self, said: Found) -> bool:
        keys = {
            "animals": ("animals", "no_animals"),
            "count": ("animals", "no_animals"),
            "weight": ("animals",),
            "hours": ("hours_per_day", "hours_per_day_range"),
            "yes_no": ("yes_no",),
            "period": ("days", "days_range", "start", "end"),
            "days": ("days", "days_range", "start", "end"),
            "start": ("start",),
            "end": ("end",),
            "area": ("area_m2", "area_m2_range"),
            "choice": ("choice", "no_choice", "yes_no"),
            "temperature": ("quantities",),
            "materials": ("materials", "no_materials"),
            "amount": ("materials", "no_materials"),
            "quantity": ("quantities",),
            "depth": ("depth_cm", "depth_cm_range"),
            "rate": ("rate_kg_per_day", "rate_kg_per_day_range", "quantities"),
            "moisture": ("quantities",),
            "option": ("choice",),
            "name": (),
        }
        told = [k for k in keys.get(self.slot, ()) if k in said.facts]
        if told == ["quantities"] and said.facts["quantities"]:
            # ground to spread on is no answer about the pack's moisture, and a price answers nothing
            land = self.scan.asked is not None and self.scan.asked.of == "field area"
            measured = [q for q in said.facts["quantities"] if not q["of"].startswith("price of")]
            if all((q.get("of") == "field area") != land for q in measured):
                told = []
        return bool(told) or bool(said.clarify) or bool(said.queried)

    def _domain(self, words: set[str]) -> bool:
        return bool(words & set(self.lexicon.groups["domain_words"]))

    def _topic(self, tokens: list[Token]) -> str:
        hits = self.lexicon.topics.hits(tokens)
        order = list(self.lexicon.tables.topics)
        return min((h.name for h in hits), key=order.index) if hits else ""

    def _asked_facts(self, parts: list[Segment], kind: str) -> dict[str, Any]:
        """The subject of a question: what it names, with the numbers it gives."""
        asking = kind not in ("trouble",)
        found = self.found(parts, asking=asking) if kind != "trouble" else self._trouble_facts(parts)
        facts = found.facts
        if kind.startswith("ask_"):  # 'why chips and not straw?'
            for name in facts.get("no_materials", []):
                facts.setdefault("materials", []).append({"name": name})
        for key in ("no_animals", "no_materials", "no_choice", "choice", "yes_no"):
            facts.pop(key, None)
        facts["materials"] = [m for m in facts.get("materials", []) if m != {"name": "pack"}]
        if kind in ("ask_why", "ask_how"):
            for key in ("start", "end", "days", "start_window", "end_window", "days_range", "area_m2"):
                facts.pop(key, None)
        return facts

    def _trouble_facts(self, parts: list[Segment]) -> Found:
        from dataclasses import replace

        scan, self.scan = self.scan, replace(self.scan, asked=None, subject="")
        slot, self.slot = self.slot, ""
        try:
            found = self.found(parts, asking=False)
            if not found.facts.get("animals"):  # 'pigs sleep only, they do not dig' chooses nobody to dig
                named, _ = find_facts(self.scan, self.lexicon, [(p.start, p.end) for p in parts], False)
                found.facts.update({k: v for k, v in named.facts.items() if k == "animals"})
        finally:
            self.scan, self.slot = scan, slot
        found.facts["quantities"] = [
            q for q in found.facts.get("quantities", []) if q.get("si_unit") in ("degC", "fraction")
        ]
        if not found.facts["quantities"]:
            del found.facts["quantities"]
        for key in ("start", "end", "days", "days_as", "start_window", "end_window", "days_range"):
            found.facts.pop(key, None)
        return found

    def _record(self, kind: str, said: Found) -> Meaning:
        facts = dict(said.facts)
        return Meaning(kind, facts=facts, clarify=list(said.clarify), queried=list(said.queried))

    def _vague(self) -> bool:
        vague = {w.strip() for w in self.lexicon.tables.numbers.vague.split(",")}
        line = " " + " ".join(t.text for t in self.tokens) + " "
        return any(f" {v} " in line for v in vague) or bool(self.lexicon.no_day.hits(self.tokens))

    def _sensible(self, least: float = 0.5) -> bool:
        """Whether enough of the words are known ones to be worth asking about."""
        words = [t for t in self.tokens if t.kind == "word" and len(t.text) > 1]
        known = [
            t
            for t in words
            if t.text in self.lexicon.known or t.root in self.lexicon.known or t.stem in self.lexicon.known
        ]
        return (
            bool(words)
            and len(known) >= least * len(words)
            and not any(c in self.scan.text for c in "{}<>\\|=;$@^")
        )

    def _what_was_asked(self) -> str:
        return (
            self.scan.asked.words.replace("CLASS", self.scan.subject).replace("MATERIAL", self.scan.subject)
            if self.scan.asked
            else "what you mean"
        )

    def is_code(self) -> bool:
        """A line for a machine, with no number in it, tells nothing of a farm."""
        signs = sum(
            self.scan.text.count(mark)
            for mark in ("';", "')", ";--", "--", "<", ">", "{", "}", "\\", "|", "$(", "=", "/*")
        )
        return signs >= 2 and not any(t.kind == "num" for t in self.tokens)

    def drop_passers_by(self, facts: dict[str, Any]) -> None:
        """'Yes save it, I have to run the kids to hockey': names that tell nothing beside an answer."""
        for key in ("animals", "materials"):
            told = [one for one in facts.get(key, []) if set(one) - {"class", "name", "breed"}]
            if key in facts and len(told) < len(facts[key]) and not self._about_names():
                facts[key] = told

    def _about_names(self) -> bool:
        """Whether the question is one of animals or bedding by name."""
        words = self.scan.asked.words if self.scan.asked else ""
        return "animal" in words or "CLASS" in words or "material" in words.lower() or "bale" in words


def strong(symptoms: list[str]) -> bool:
    return bool(
        set(symptoms) - {"wet surface", "pack too dry", "wet patch", "wet bottom", "dust", "slimy pack"}
    )


def _denied(tokens: list[Token], hit: Hit) -> bool:
    """'no smell', 'not wet', just before a sign."""
    before = []
    for token in reversed(tokens[max(0, hit.start - 3) : hit.start]):
        if token.kind == "end" or token.text in (",", "but", "and"):
            break
        before.append(token.text)
    return (
        bool(set(before) & {"no", "not", "never", "without", "nobody", "hardly", "none"})
        and "only" not in before
    )


def _hot(tokens: list[Token], hit: Hit) -> bool:
    """'sitting at 58 C': a number in the sign that tells of heat."""
    held = {t.text for t in tokens[hit.start : hit.end]} & {"stuck", "stalled", "not", "never", "refuses"}
    least = 50.0 if held else 40.0
    for at in range(hit.start, hit.end):
        if tokens[at].kind == "num" and tokens[at].text.isdecimal():
            scale = {t.text for t in tokens[at + 1 : at + 3]}
            if float(tokens[at].text) >= (least * 1.8 + 32 if scale & {"f", "fahrenheit", "degf"} else least):
                return True
    return False


_OVERRIDES = {
    "wet surface": {"wet patch", "wet bottom", "condensation", "leachate"},
    "unspecified smell": {"ammonia smell", "rotten egg smell", "sour smell"},
    "pack not heating": {"heat lost early", "uneven heating"},
    "compacted pack": {"caked surface"},
    "steam": {"ammonia smell"} & set(),
    "caked surface": {"dirty animals"},
}


def _settle(found: list[str]) -> list[str]:
    """The particular sign stands, the general one that says the same goes."""
    return [name for name in found if not _OVERRIDES.get(name, set()) & set(found)]
