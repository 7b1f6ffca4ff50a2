"""What a message does: answers, asks, reports a trouble, corrects, commands, chats."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from advisor.language.answers import Answers
from advisor.language.corrections import apply_correction, corrected_words
from advisor.language.cries import is_cry
from advisor.language.danger import find_alarms
from advisor.language.fix_choice import chosen_instead
from advisor.language.fix_units import swapped_units
from advisor.language.found import Found
from advisor.language.further import Further
from advisor.language.lexicon import Lexicon
from advisor.language.meaning import Meaning
from advisor.language.reader import strong
from advisor.language.relative import moved
from advisor.language.scan import Item, Scan
from advisor.language.segments import Segment
from advisor.language.withdrawn import kept_name, withdrawn

__all__ = ["Meaning", "find_meaning"]


class Acts(Answers, Further):
    """The decision."""

    def read(self) -> Meaning:
        meaning = self._decide()
        self._further(meaning)
        return meaning

    def _decide(self) -> Meaning:
        alarms = find_alarms(self.scan, self.lexicon)
        if alarms:
            return Meaning("danger", facts={"alarm": alarms}, about=alarms)
        if not any(t.kind in ("word", "num") for t in self.tokens):
            unsure = any(t.text == "?" for t in self.tokens) and len(self.scan.text.strip()) <= 3
            if unsure and self.slot:
                return Meaning("unsure")
            return Meaning("chitchat", nothing=True)
        if is_cry(self.scan.raw, self.lexicon.lists["cry_words"]):
            return Meaning("navigate", facts={"go": "help", "urgent": True})
        if self.is_code():
            return Meaning("chitchat", nothing=True)
        if (
            "bed_not_right" in self.hits
            and not self.symptoms(self.tokens)
            and self.slot not in ("name", "moisture")
        ):
            return Meaning("trouble", facts={"symptoms": []})
        if self.slot == "count" and self._waits_on() and not any(t.kind == "num" for t in self.tokens):
            return Meaning("answer", clarify=[self._what_was_asked()])
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
        if not questions and (taken := self._taken_away() or self._moved()):
            return taken
        swapped = swapped_units(self.scan, self.lexicon, self.before)
        if not swapped and (nav := self._navigate(said, plain_answer)):
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
            for k, told in facts.items()
            if told
            and k
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
        if go == "goto" and any("count" in a for a in facts.get("animals", [])):
            return None  # '5 sows are going to turn it'
        saving = self.scan.asked is not None and "save" in self.scan.asked.words
        if saving and "yes_no" in facts and go in ("save", "quit", "skip"):
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

    def _correct(self, said: Found, questions: list[Segment]) -> Meaning | None:
        before_keys = {k for k in self.before if not k.endswith("_as")}
        swapped = swapped_units(self.scan, self.lexicon, self.before)
        contradicts = bool(swapped) or self._contradicts(said, questions)
        if not contradicts and ("correction" not in self.hits or (questions and not self.before)):
            return None
        explicit = contradicts or bool(self.lexicon.lists["corrects"] & self.words)
        if not before_keys and not (explicit and not self.slot):
            return None
        skip = corrected_words(self.scan)
        found = self._without(skip)
        for key in ("animals", "materials"):  # a question inside a correction tells nothing
            if questions and said.facts.get(key) is None:
                found.facts.pop(key, None)
        corrects = apply_correction(self.scan, self.lexicon, found, self.before)
        for key in ("animals", "materials"):  # 'scratch that, no sawdust'
            if said.facts.get(f"no_{key}") and not found.facts.get(key):
                found.facts[f"no_{key}"] = said.facts[f"no_{key}"]
        touched = {
            k.removesuffix("_range")
            for k, told in found.facts.items()
            if told and k not in ("corrects", "days_as", "area_as", "depth_as", "depth_of")
        }
        gone = {*found.facts.get("no_animals", []), *found.facts.get("no_materials", [])}
        if gone & {one.get("class") for one in self.before.get("animals", [])}:
            touched.add("animals")
        if gone & {one.get("name") for one in self.before.get("materials", [])}:
            touched.add("materials")
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

    def _taken_away(self) -> Meaning | None:
        """What was told is taken back by its name, and the rest of the message is read without it."""
        items = withdrawn(self.scan, self.lexicon)
        names = [(item, kept_name(item, self.before, self.lexicon)) for item in items]
        known = [pair for pair in names if pair[1]]
        if not items or (self.slot and not known):
            return None
        found = self._without({item.start for item in items})
        for key in ("no_animals", "no_materials"):
            found.facts.pop(key, None)
        for item, name in known or names:
            bucket = found.facts.setdefault(f"no_{item.kind}s", [])
            if (name or item.name) not in bucket:
                bucket.append(name or item.name)
        if not known:
            return self._record("volunteer", found)
        corrects = list(dict.fromkeys(f"{item.kind}s" for item, _ in known))
        found.facts["corrects"] = corrects
        return Meaning(
            "correction", facts=found.facts, clarify=found.clarify, queried=found.queried, about=corrects
        )

    def _moved(self) -> Meaning | None:
        """'They go out two weeks later', 'sold 3 of the ponies': what was told before, moved."""
        return None if "what_if" in self.hits else moved(self.scan, self.lexicon, self.before, self.slot)

    def _contradicts(self, said: Found, questions: list[Segment]) -> bool:
        """Whether, unasked, the message tells something known anew and otherwise."""
        if self.symptoms(self.tokens):
            return False  # 'two of the cows are gone lame'
        if self.slot or questions or not self.before or self.words & self.lexicon.lists["besides"]:
            return False
        facts, known = said.facts, self.before
        for key in ("area_m2", "depth_cm", "hours_per_day", "rate_kg_per_day", "start", "end"):
            if key in facts and key in known and facts[key] != known[key]:
                return True
        if chosen_instead(self.scan, self.lexicon, known)[1] and not (
            facts.get("animals") or facts.get("materials")
        ):
            return bool(facts.get("choice")) or "not" in self.words
        weights = {a["class"]: a.get("weight_kg") for a in known.get("animals", [])}
        weighed = [a for a in facts.get("animals", []) if "weight_kg" in a]
        if weighed and all(weights.get(a["class"]) not in (None, a["weight_kg"]) for a in weighed):
            return True
        counts = {a["class"]: a.get("count") for a in known.get("animals", [])}
        told = [a for a in facts.get("animals", []) if "count" in a]
        return bool(told) and all(counts.get(a["class"]) not in (None, a["count"]) for a in told)

    def _without(self, skip: set[int]) -> Found:
        """Facts with the words that say what was wrong left out."""
        from dataclasses import replace

        wrong = {i.end for i in self.scan.items if i.start in skip and i.kind == "number"}
        skip = skip | {i.start for i in self.scan.items if i.kind == "animal" and i.start in wrong}
        kept = tuple(i for i in self.scan.items if i.start not in skip)
        kept = tuple(
            item
            for place, item in enumerate(kept)
            if not (item.kind == "word" and item.text == "not" and not self._denies_new(kept, place))
            and not (item.kind == "word" and item.text == "no" and not self._denies(kept, place))
        )
        scan, self.scan = self.scan, replace(self.scan, items=kept, asked=None, subject="")
        try:
            return self.found(self.parts, asking=False)
        finally:
            self.scan = scan

    def _denies(self, items: tuple[Item, ...], place: int) -> bool:
        """'No sawdust': a name, right after it, with no number."""
        after = items[place + 1] if place + 1 < len(items) else None
        return after is not None and after.kind in ("animal", "material")

    def _denies_new(self, items: tuple[Item, ...], place: int) -> bool:
        """'i fork it out, no pigs', of animals nobody told of: that there are none, and no correction."""
        after = items[place + 1] if place + 1 < len(items) else None
        if after is None or after.kind not in ("animal", "material"):
            return False
        return not kept_name(after, self.before, self.lexicon)

    def _statement(self, parts: list[Segment], said: Found) -> Meaning:
        tokens = [t for p in parts for t in self.part(p)]
        facts = said.facts
        symptoms = self.symptoms(tokens)
        if self.slot in ("yes_no", "choice", "option", "start", "end", "hours", "period") and not strong(
            symptoms
        ):
            symptoms = []
        if any("moisture_pct" in m for m in facts.get("materials", [])) and not strong(symptoms):
            symptoms = []
        answers = bool(self.slot) and self._answers(said)
        if answers and self.slot in ("yes_no", "quantity"):
            self.drop_passers_by(facts)
        unsure = "unsure" in self.hits
        numbers = (
            any(set(m) & {"amount", "amount_range"} for m in facts.get("materials", []))
            or any(
                k.removesuffix("_range").removesuffix("_window")
                in (
                    "area_m2",
                    "depth_cm",
                    "days",
                    "start",
                    "end",
                    "rate_kg_per_day",
                    "hours_per_day",
                    "quantities",
                )
                for k in facts
            )
            or any(
                set(a) & {"count", "count_range", "weight_kg", "weight_kg_range"}
                for a in facts.get("animals", [])
            )
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
        if unsure and self.slot == "count" and self._waits_on():
            return Meaning("answer", clarify=[self._what_was_asked()])
        if (
            unsure
            and not symptoms
            and not (answers and (numbers or facts.get("materials") or facts.get("choice")))
        ) and (self.slot or not facts):
            return Meaning("unsure")
        roof = bool(
            self.scan.asked and "roofed" in self.scan.asked.words
        )  # 'water drips from the roof on the cows'
        plain = self.words & {"yes", "no", "yeah", "aye", "yep", "nope"} or not strong(symptoms)
        by_the_way = (
            symptoms and not numbers and (self.slot in ("materials", "animals") or (roof and not plain))
        )
        if answers and not by_the_way:
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
        if symptoms and not (self.slot in ("moisture",) and not strong(symptoms)):
            facts = self._asked_facts(self.parts, "trouble")
            facts["symptoms"] = symptoms
            return Meaning("trouble", facts=facts, about=symptoms)
        outside = self.outside(tokens)
        if outside and not numbers and not said.clarify and not self._domain(set(self.words)):
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
                return self._record("volunteer", said)
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

    def _waits_on(self) -> bool:
        """'depends how the scanning goes': an answer of a kind, for nobody can know yet."""
        texts = [t.text for t in self.tokens]
        return bool(
            texts[:1] == ["depends"] and texts[1:2] and texts[1] in ("how", "on", "if", "whether", "what")
        )

    def _fits(self, said: Found) -> bool:
        return self._answers(said)


def find_meaning(scan: Scan, before: Mapping[str, Any], lexicon: Lexicon) -> Meaning:
    """Decide what the message does and gather its facts."""
    return Acts(scan, before, lexicon).read()
