"""What a message does: answers, asks, reports a trouble, corrects, commands, chats."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from advisor.language.choose import fill_choices
from advisor.language.corrections import apply_correction, corrected_words
from advisor.language.danger import find_alarms
from advisor.language.facts import Found, find_facts
from advisor.language.lexicon import Lexicon
from advisor.language.patterns import Hit
from advisor.language.scan import Scan
from advisor.language.segments import Segment, segments
from advisor.language.slots import fill_rest
from advisor.language.text import Token

__all__ = ["Meaning", "find_meaning"]

#: put after a question typed without its mark, for patterns that want to see one
_MARK = Token("?", "end", 0, 0, "?", "?")


@dataclass
class Meaning:
    """The reading before it is put into words."""

    kind: str
    also: list[str] = field(default_factory=list)
    facts: dict[str, Any] = field(default_factory=dict)
    clarify: list[str] = field(default_factory=list)
    queried: list[str] = field(default_factory=list)
    about: list[str] = field(default_factory=list)
    outside: str = ""
    nothing: bool = False


class _Reader:
    def __init__(self, scan: Scan, before: Mapping[str, Any], lexicon: Lexicon) -> None:
        self.scan, self.before, self.lexicon = scan, before, lexicon
        self.tokens = list(scan.tokens)
        self.parts = segments(self.tokens, lexicon)
        self.slot = scan.asked.slot if scan.asked else ""
        self.hits = {h.name for h in lexicon.acts.hits(self.tokens)}
        self.words = scan.words()

    # -- small questions about the message

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
            found.append(hit.name)
            spans[hit.name] = (hit.start, hit.end)
        return _settle(found)

    def _names_only(self, tokens: list[Token], hit: Hit) -> bool:
        """'dust extracted straw', 'mouldy hay': a sign inside the name of a material is none."""
        return hit.end - hit.start <= 2 and all("material" in t.tags for t in tokens[hit.start : hit.end])

    def navigation(self) -> tuple[str, str] | None:
        tokens = [t for t in self.tokens if t.kind in ("word", "num")]
        if not tokens or len(tokens) > 16:
            return None
        hits = self.lexicon.navigation.hits(self.tokens)
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
        for lead in (" to the ", " to ", " about ", " on ", " the ", " my "):
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

    # -- the decision

    def read(self) -> Meaning:
        alarms = find_alarms(self.scan, self.lexicon)
        if alarms:
            return Meaning("danger", facts={"alarm": alarms}, about=alarms)
        if not any(t.kind in ("word", "num") for t in self.tokens):
            unsure = any(t.text == "?" for t in self.tokens) and len(self.scan.text.strip()) <= 3
            if unsure and self.slot:
                return Meaning("unsure")
            return Meaning("chitchat", nothing=True)
        if self.slot == "name":
            named = self._name()
            if named:
                return named
        if self.slot:
            self.parts = [self._as_answer(p) for p in self.parts]
        statements = [p for p in self.parts if not p.question]
        questions = [p for p in self.parts if p.question]
        said = self.found(statements, asking=False) if statements else Found()
        if statements:
            self._none(said)
            self._from_before(said)
        if self.slot and not questions and self._answers(said) and "unsure" not in self.hits:
            plain_answer = True
        else:
            plain_answer = False
        if nav := self._navigate(said, plain_answer):
            return nav
        if fixed := self._correct(said, questions):
            return fixed
        if (
            not questions
            and not plain_answer
            and self.hits & {"ask_how", "ask_why"}
            and not self.before
            and not any("count" in a for a in said.facts.get("animals", []))
        ):
            questions, statements, said = self.parts, [], Found()
        if (
            self.slot in ("rate", "start", "end", "period", "days")
            and not questions
            and not self._answers(said)
            and self.lexicon.no_day.hits(self.tokens)
            and "unsure" not in self.hits
        ):
            return Meaning("answer", clarify=[self._what_was_asked()])
        if (
            self.slot == "animals"
            and not questions
            and said.facts.get("animals")
            and self._vague()
            and not any(set(a) & {"count", "count_range"} for a in said.facts["animals"])
        ):
            said.clarify.append(f"how many: {said.facts['animals'][0]['class']}")
        if questions:
            asked = self._question(questions, statements, said)
            if asked is not None:
                return asked
        return self._statement(statements or self.parts, said)

    def _as_answer(self, part: Segment) -> Segment:
        """'what we can fit' after a question is an answer, if a vague one."""
        tokens = self.part(part)
        if not part.question or any(t.text == "?" for t in tokens):
            return part
        texts = [t.text for t in tokens]
        if (
            texts[:1] in (["what"], ["whatever"], ["however"], ["when"], ["where"])
            and texts[1:2]
            and texts[1]
            in ("i", "we", "they", "he", "she", "it", "you", "the", "is", "grass", "ever", "there")
            and "unsure" not in self.hits
        ):
            if (texts[1] == "is" and texts[0] != "when") or (
                texts[1] in ("you", "the") and texts[0] != "when"
            ):
                return part
            return Segment(part.start, part.end, False)
        return part

    def _none(self, said: Found) -> None:
        """'none this year', after how many or how much."""
        words = self.words
        subject = self.scan.subject
        if (
            self.slot == "count"
            and subject
            and "one" in words
            and words & {"just", "only"}
            and not said.facts.get("animals")
        ):
            said.facts["animals"] = [{"class": subject, "count": 1}]
            return
        key = {"count": "no_animals", "amount": "no_materials"}.get(self.slot)
        if (
            key is None
            or not subject
            or said.facts.get("materials")
            or (said.facts.get("animals") and any("count" in a for a in said.facts["animals"]))
        ):
            return
        first = self.tokens[0].text
        line = " ".join(t.text for t in self.tokens)
        if (
            (
                first in ("none", "nil", "zero", "nothing", "nought", "no", "never", "not")
                and "unsure" not in self.hits
            )
            or words & {"none", "nil", "nought"}
            or any(
                p in line
                for p in (
                    "all gone",
                    "have not got any",
                    "have not any",
                    "do not have any",
                    "ran out",
                    "run out",
                    "not a bale",
                    "not one",
                    "not any",
                    "do not keep any",
                    "have no",
                    "got no",
                    "do not have",
                    "have not got",
                    "used it all",
                    "used up",
                    "all used",
                    "none left",
                    "sold them all",
                    "sold the lot",
                    "got rid of",
                )
            )
        ):
            bucket = said.facts.setdefault(key, [])
            if subject not in bucket:
                bucket.append(subject)
            said.facts.pop("animals", None)
            said.clarify.clear()

    def _from_before(self, said: Found) -> None:
        """Complete an answer from what was known: the bales weighed, the herd fed."""
        materials = [m for m in self.before.get("materials", []) if isinstance(m, dict) and m.get("name")]
        animals = [a for a in self.before.get("animals", []) if isinstance(a, dict)]
        question = self.scan.asked
        if question is not None and question.of == "bale weight":
            weights = [q for q in said.facts.get("quantities", []) if q.get("of") == "bale weight"]
            named = said.facts.get("materials", [])
            target = (
                named[0]
                if len(named) == 1
                else next(
                    (
                        m
                        for m in materials
                        if str(m.get("unit", "")).endswith(("bale", "bag")) or "amount" in m
                    ),
                    None,
                )
            )
            if weights and target is not None:
                si = weights[0]["si"]
                entry = {
                    "name": target["name"],
                    "unit": target.get("unit", "bale"),
                    "unit_mass_as": weights[0].get("as", ""),
                }
                entry["unit_mass_kg" if not isinstance(si, list) else "unit_mass_kg_range"] = si
                said.facts["materials"] = [entry]
                said.facts["quantities"] = [q for q in said.facts["quantities"] if q is not weights[0]]
        loose = [i for i in said.loose if i.number is not None]
        packs = [m for m in materials if self.lexicon.tables.units.get(str(m.get("unit"))) is not None]
        if loose and not self.slot and not said.facts.get("materials") and len(packs) == 1:
            entry = {
                "name": packs[0]["name"],
                "amount": loose[0].number.low if loose[0].number else None,
                "unit": packs[0]["unit"],
            }
            mass = next((i.unit_mass for i in said.loose if i.unit_mass), None)
            if mass:
                entry.update(
                    {
                        "unit_mass_kg": round(mass[0], 3),
                        "mass_kg": round(mass[0] * float(entry["amount"] or 0), 2),
                    }
                )
            said.facts["materials"] = [entry]
        if self.slot == "rate":
            heads = sum(a.get("count") or 0 for a in animals if isinstance(a.get("count"), int | float))
            for quantity in list(said.facts.get("quantities", [])):
                if (
                    quantity.get("of") == "bedding rate a head"
                    and heads
                    and not isinstance(quantity["si"], list)
                ):
                    said.facts["rate_kg_per_day"] = quantity["si"] * heads
                    said.facts["quantities"].remove(quantity)
                unit = str(quantity.get("si_unit", ""))
                masses = [
                    m["unit_mass_kg"] for m in materials if isinstance(m.get("unit_mass_kg"), int | float)
                ]
                if (
                    unit.endswith("/day")
                    and quantity.get("of") == "bedding rate"
                    and not unit.startswith(("kg", "m**3"))
                    and len(masses) == 1
                    and not isinstance(quantity["si"], list)
                ):
                    said.facts["rate_kg_per_day"] = round(quantity["si"] * masses[0], 3)
                    said.facts["quantities"].remove(quantity)

    def _name(self) -> Meaning | None:
        if (
            (self.navigation() and len(self.tokens) <= 5)
            or "unsure" in self.hits
            or any(p.question for p in self.parts)
        ):
            return None
        if not self._sensible(least=0.0):
            return Meaning("chitchat", nothing=True)
        text = " ".join(self.scan.raw.split())
        for lead in (
            "call it ",
            "name it ",
            "save it as ",
            "save as ",
            "just ",
            "the name is ",
            "name: ",
            "it is called ",
            "maybe ",
            "let us call it ",
            "lets call it ",
            "we'll call it ",
            "how about ",
            "put it down as ",
            "put ",
        ):
            if text.lower().startswith(lead):
                text = text[len(lead) :]
        text = text.strip(" .\"'!")
        return Meaning("answer", facts={"choice": [text[:60]], "name": text[:60]}) if text else None

    def _navigate(self, said: Found, plain_answer: bool) -> Meaning | None:
        nav = self.navigation()
        if nav is None:
            return None
        go, place = nav
        if "ask_why" in self.hits and go in ("repeat", "units", "help"):
            return None
        facts = said.facts
        strong = {
            k
            for k in facts
            if k
            in (
                "animals",
                "area_m2",
                "start",
                "end",
                "rate_kg_per_day",
                "depth_cm",
                "quantities",
                "days",
                "hours_per_day",
            )
        }
        if go not in ("goto", "units", "back", "restart", "undo") and strong:
            return None
        if self.slot == "yes_no" and ("yes_no" in facts) and go in ("save", "quit", "skip"):
            return None
        if self.slot == "option" and facts.get("choice"):
            return None
        if plain_answer and go not in (
            "goto",
            "back",
            "restart",
            "undo",
            "show_plan",
            "summary",
            "print",
            "help",
            "resume",
            "repeat",
            "progress",
            "quit",
            "skip",
        ):
            return None
        if plain_answer and strong and go in ("goto", "back", "undo"):
            return None
        meaning = Meaning("navigate", facts={"go": go})
        if place:
            meaning.facts["go_to"] = place
        return meaning

    def _answers(self, said: Found) -> bool:
        keys = {
            "animals": ("animals", "no_animals"), "count": ("animals", "no_animals"), "weight": ("animals",), "hours": ("hours_per_day", "hours_per_day_range"),
            "yes_no": ("yes_no",), "period": ("days", "days_range", "start", "end"), "days": ("days", "days_range", "start", "end"), "start": ("start",), "end": ("end",),
            "area": ("area_m2", "area_m2_range"), "choice": ("choice", "no_choice", "yes_no"), "temperature": ("quantities",), "materials": ("materials", "no_materials"),
            "amount": ("materials", "no_materials"), "quantity": ("quantities",), "depth": ("depth_cm", "depth_cm_range"), "rate": ("rate_kg_per_day", "rate_kg_per_day_range", "quantities"),
            "moisture": ("quantities",), "option": ("choice",), "name": (),
        }  # fmt: skip
        return (
            any(k in said.facts for k in keys.get(self.slot, ())) or bool(said.clarify) or bool(said.queried)
        )

    def _correct(self, said: Found, questions: list[Segment]) -> Meaning | None:
        if "correction" not in self.hits or (questions and not self.before):
            return None
        before_keys = {k for k in self.before if not k.endswith("_as")}
        explicit = {
            "meant",
            "mistake",
            "wrong",
            "correction",
            "typo",
            "mistyped",
            "miscounted",
            "actually",
            "sorry",
            "scratch",
            "mind",
            "oops",
            "whoops",
            "wait",
            "change",
            "remeasured",
        } & self.words
        if not before_keys and not (explicit and not self.slot):
            return None
        skip = corrected_words(self.scan)
        found = self._without(skip)
        corrects = apply_correction(self.scan, self.lexicon, found, self.before)
        touched = {
            k.removesuffix("_range")
            for k in found.facts
            if k not in ("corrects", "days_as", "area_as", "depth_as", "depth_of")
        }
        if not touched and not found.clarify and not found.queried:
            if before_keys and explicit:
                return Meaning("correction", clarify=["what it should be instead"])
            return None
        if before_keys and not explicit and not (touched & {b.removesuffix("_range") for b in before_keys}):
            return None
        if not corrects:
            corrects = ["value"]
        found.facts["corrects"] = corrects
        return Meaning(
            "correction", facts=found.facts, clarify=found.clarify, queried=found.queried, about=corrects
        )

    def _without(self, skip: set[int]) -> Found:
        """Facts with the words that say what was wrong left out."""
        from dataclasses import replace

        kept = tuple(i for i in self.scan.items if i.start not in skip)
        kept = tuple(i for i in kept if not (i.kind == "word" and i.text in ("not", "no")))
        scan, self.scan = self.scan, replace(self.scan, items=kept, asked=None, subject="")
        try:
            return self.found(self.parts, asking=False)
        finally:
            self.scan = scan

    # -- questions

    def _question(self, questions: list[Segment], statements: list[Segment], said: Found) -> Meaning | None:
        tokens = [t for q in questions for t in self.part(q)]
        kind = self._question_kind(tokens, said)
        if self.slot and statements and self._answers(said) and kind not in ("unsure",):
            meaning = self._record("answer", said)
            meaning.also = [kind]
            return meaning
        if kind == "answer_anyway":
            return None
        if kind == "unsure":
            return Meaning("unsure")
        if kind == "chitchat":
            return None if said.facts else Meaning("chitchat")
        if kind == "navigate":
            nav = self.navigation()
            if nav:
                return Meaning("navigate", facts={"go": nav[0], **({"go_to": nav[1]} if nav[1] else {})})
        symptoms = self.symptoms(self.tokens)
        if kind == "out_of_scope":
            return Meaning("out_of_scope", outside=self.outside([*tokens, _MARK]))
        if kind == "trouble" or (
            statements and symptoms and self.symptoms([t for s in statements for t in self.part(s)])
        ):
            facts = self._asked_facts(self.parts, "trouble")
            facts["symptoms"] = symptoms
            return Meaning("trouble", facts=facts, about=symptoms)
        facts = self._asked_facts(self.parts, kind)
        topic = self._topic(tokens)
        if topic:
            facts["topic"] = topic
        meaning = Meaning(kind, facts=facts, about=[topic] if topic else [])
        only_named = (
            set(said.facts) <= {"quantities"}
            and any(t.text in ("the", "that", "your") for t in self.part(statements[0])[:2])
            if statements
            else False
        )
        if (
            statements
            and said.facts
            and not only_named
            and kind in ("ask_fact", "ask_why", "ask_how")
            and not self.slot
        ):
            recorded = self._record("volunteer", said)
            recorded.also = [kind]
            return recorded
        if statements and said.facts and kind == "ask_calc":
            meaning.also = ["volunteer"]
        return meaning

    def _question_kind(self, tokens: list[Token], said: Found) -> str:
        hits = {h.name for h in self.lexicon.acts.hits(tokens)}
        symptoms = self.symptoms(tokens)
        outside = self.outside([*tokens, _MARK])
        texts = [t.text for t in tokens]
        words = set(texts)
        why_you = "ask_why" in hits and words & {
            "you",
            "ye",
            "matter",
            "matters",
            "ask",
            "asking",
            "odds",
            "question",
            "questions",
            "point",
            "difference",
            "for",
            "relevant",
            "important",
            "need",
        }
        if why_you and not (symptoms and not words & {"you", "ye", "ask", "matter"}):
            return "ask_why"
        if (
            "why" in words
            and texts[0] in ("why", "and", "but", "so")
            and (not symptoms or texts[1:2] == ["not"])
            and not outside
        ):
            return "ask_why"
        if "ask_how" in hits and not (symptoms and words & {"my", "bed"}):
            return "ask_how"
        named = any(t.tags & {"animal", "material"} for t in tokens)
        if self.slot and "unsure" in hits and not outside and not named:
            return "unsure"
        if "calc" in hits and symptoms and set(symptoms) <= {"bedding used up too fast"}:
            return "ask_calc"
        if outside and not self._domain(words):
            return "out_of_scope"
        if symptoms and self._reports(texts, symptoms):
            return "trouble"
        if "ask_why" in hits:
            return "ask_why"
        if outside:
            return "out_of_scope"
        if "chitchat" in hits and not self._domain(words) and not named:
            return "chitchat"
        if "ask_open" not in hits and not any(t.text == "?" for t in tokens) and self._record_like(said):
            return "answer_anyway"
        if self._calculates(tokens, hits):
            return "ask_calc"
        if (
            not self._domain(words)
            and not symptoms
            and not any(t.tags & {"animal", "material"} for t in tokens)
        ):
            if self._record_like(said):
                return "answer_anyway"
            return "ask_fact" if "unsure" not in hits or not self.slot else "unsure"
        return "ask_fact"

    def _record_like(self, said: Found) -> bool:
        return False

    def _domain(self, words: set[str]) -> bool:
        return bool(words & set(self.lexicon.groups["domain_words"]))

    def _reports(self, texts: list[str], symptoms: list[str]) -> bool:
        """Whether a question about a sign tells that the sign is there."""
        words = set(texts)
        line = " " + " ".join(texts) + " "
        if any(f" {p} " in line for p in self.lexicon.groups["reports"]):
            return True
        if any(f" {p} " in line for p in self.lexicon.groups["general_question"]):
            return False
        return bool(
            words
            & {
                "my",
                "our",
                "keeps",
                "keep",
                "is",
                "are",
                "getting",
                "gone",
                "went",
                "has",
                "not",
                "it",
                "they",
                "this",
                "these",
            }
        ) and texts[0] not in (
            "how",
            "what",
            "which",
            "can",
            "does",
            "do",
            "should",
            "will",
            "at",
            "when",
            "could",
            "would",
        )

    def _calculates(self, tokens: list[Token], hits: set[str]) -> bool:
        texts = [t.text for t in tokens]
        words = set(texts)
        if "what_if" in hits and (
            words & {"my", "i", "we", "our", "instead", "used", "use", "using", "add", "added", "go", "put"}
            or any(t.kind == "num" for t in tokens)
        ):
            return True
        starts = {t.start for t in tokens}
        numbers = [
            i
            for i in self.scan.items
            if i.kind in ("number", "amount", "sides", "date") and self.scan.tokens[i.start].start in starts
        ]
        soft = {"percent", "degC", "degF", "deg", "ppm"}
        solid = [i for i in numbers if i.unit not in soft]
        any_solid = bool(solid) or bool({i.kind for i in self.scan.items} & {"sides"})
        if "calc" in hits and any_solid:
            small = all(i.number is not None and i.number.low == 1 and i.number.worded for i in solid)
            if not small or words & {"my", "our"}:
                return True
        if (
            "calc" in hits
            and len(starts) < len(self.tokens) - 1
            and any(i.kind in ("number", "amount", "sides") for i in self.scan.items)
            and words & {"will", "they", "it", "need", "want", "enough", "that", "should", "i", "we"}
        ):
            return True
        if any_solid and any(i.kind in ("sides", "date") for i in solid):
            return True
        if any_solid and any(i.kind == "number" for i in solid) and any("animal" in t.tags for t in tokens):
            return True
        own = words & {"i", "my", "we", "our", "me", "us"} or (
            words & {"will"} and words & {"the", "it", "they"}
        )
        if (
            texts[0] == "will"
            and words & {"my", "our"}
            and words & {"get", "be", "last", "reach", "fit", "do", "hold", "cover"}
        ):
            return True
        return bool(
            "calc" in hits
            and own
            and words
            & {
                "need",
                "last",
                "run",
                "enough",
                "buy",
                "end",
                "get",
                "have",
                "use",
                "be",
                "keep",
                "fit",
                "house",
                "put",
                "add",
                "left",
                "order",
                "require",
                "make",
            }
            and not words & {"know", "tell", "measure", "stop"}
            and (
                "much" in words
                or "many" in words
                or "enough" in words
                or "last" in words
                or "big" in words
                or "long" in words
                or "deep" in words
                or "high" in words
                or "fit" in words
                or "out" in words
            )
        )

    def _topic(self, tokens: list[Token]) -> str:
        hits = self.lexicon.topics.hits(tokens)
        order = list(self.lexicon.tables.topics)
        return min((h.name for h in hits), key=order.index) if hits else ""

    def _asked_facts(self, parts: list[Segment], kind: str) -> dict[str, Any]:
        """The subject of a question: what it names, with the numbers it gives."""
        asking = kind not in ("trouble",)
        found = self.found(parts, asking=asking) if kind != "trouble" else self._trouble_facts(parts)
        facts = found.facts
        for key in ("no_animals", "no_materials", "no_choice", "choice", "yes_no"):
            facts.pop(key, None)
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

    # -- statements

    def _record(self, kind: str, said: Found) -> Meaning:
        facts = dict(said.facts)
        return Meaning(kind, facts=facts, clarify=list(said.clarify), queried=list(said.queried))

    def _statement(self, parts: list[Segment], said: Found) -> Meaning:
        tokens = [t for p in parts for t in self.part(p)]
        facts = said.facts
        symptoms = self.symptoms(tokens)
        if self.slot in ("yes_no", "choice", "option", "start", "end", "hours", "period") and not _strong(
            symptoms
        ):
            symptoms = []
        answers = bool(self.slot) and self._answers(said)
        unsure = "unsure" in self.hits
        numbers = (
            any("amount" in m or "amount_range" in m for m in facts.get("materials", []))
            or any(
                k in facts
                for k in (
                    "area_m2",
                    "area_m2_range",
                    "depth_cm",
                    "days",
                    "start",
                    "end",
                    "rate_kg_per_day",
                    "hours_per_day",
                    "quantities",
                )
            )
            or any("count" in a or "weight_kg" in a for a in facts.get("animals", []))
        )
        if set(symptoms) & {"pack not heating", "pigs not rooting"} and self.slot in (
            "temperature",
            "choice",
        ):
            answers = False
        if (
            self.slot in ("choice", "yes_no", "option")
            and answers
            and not (unsure and self.slot != "yes_no" and not facts.get("choice"))
        ):
            return self._record("answer", said)
        if (
            unsure
            and not symptoms
            and not (answers and (numbers or facts.get("materials") or facts.get("choice")))
        ):
            if self.slot or not facts:
                return Meaning("unsure")
        if answers and not (symptoms and not numbers and self.slot in ("materials", "animals")):
            return self._record("answer", said)
        told = sum(k in facts for k in ("area_m2", "start", "end", "rate_kg_per_day"))
        told += any("count" in a for a in facts.get("animals", [])) + any(
            "amount" in m for m in facts.get("materials", [])
        )
        if symptoms and not self.slot and numbers and told >= 2:
            meaning = self._record("volunteer", said)
            meaning.also = ["trouble"]
            meaning.facts["symptoms"] = symptoms
            return meaning
        if symptoms and not (self.slot in ("moisture",) and not _strong(symptoms)):
            facts = self._asked_facts(self.parts, "trouble")
            facts["symptoms"] = symptoms
            return Meaning("trouble", facts=facts, about=symptoms)
        outside = self.outside(tokens)
        if outside and not numbers and not self._domain(set(self.words)):
            return Meaning("out_of_scope", outside=outside)
        if (
            "chitchat" in self.hits
            and not self.slot
            and set(facts) <= {"start", "end", "start_window", "end_window"}
        ):
            return Meaning("chitchat")
        if (
            "chitchat" in self.hits
            and not numbers
            and not (facts.get("materials") or facts.get("animals") or facts.get("choice"))
        ):
            return Meaning("chitchat")
        recordable = {k: v for k, v in facts.items() if v}
        if recordable:
            if self.slot and not self._fits(said):
                meaning = self._record("volunteer", said)
                return meaning
            return self._record("answer" if self.slot else "volunteer", said)
        if unsure:
            return Meaning("unsure")
        if self._vague() and self.slot:
            return Meaning("answer", clarify=[self._what_was_asked()])
        if "chitchat" in self.hits:
            return Meaning("chitchat")
        if said.clarify or said.queried:
            return self._record("answer" if self.slot else "volunteer", said)
        if self.slot and self._sensible():
            return Meaning("answer", clarify=[self._what_was_asked()])
        return Meaning("chitchat", nothing=True)

    def _fits(self, said: Found) -> bool:
        return self._answers(said)

    def _vague(self) -> bool:
        vague = set(w.strip() for w in self.lexicon.tables.numbers.vague.split(","))
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


def _strong(symptoms: list[str]) -> bool:
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


_OVERRIDES = {
    "wet surface": {"wet patch", "wet bottom", "condensation", "leachate", "slimy pack"},
    "unspecified smell": {"ammonia smell", "rotten egg smell", "sour smell"},
    "pack not heating": {"heat lost early", "uneven heating"},
    "compacted pack": {"caked surface"},
    "steam": {"ammonia smell"} & set(),
    "caked surface": {"dirty animals"},
}


def _settle(found: list[str]) -> list[str]:
    """The particular sign stands, the general one that says the same goes."""
    return [name for name in found if not _OVERRIDES.get(name, set()) & set(found)]


def find_meaning(scan: Scan, before: Mapping[str, Any], lexicon: Lexicon) -> Meaning:
    """Decide what the message does and gather its facts."""
    return _Reader(scan, before, lexicon).read()
