"""Questions: facts, calculations, why, how, troubles, and matters for someone else."""

from __future__ import annotations

from advisor.language.found import Found
from advisor.language.meaning import QUESTION_MARK, Meaning
from advisor.language.reader import Reader
from advisor.language.segments import Segment
from advisor.language.shifts import moved_dates
from advisor.language.text import Token

__all__ = ["Questions"]


class Questions(Reader):
    """Tells the kinds of question apart."""

    def _question(self, questions: list[Segment], statements: list[Segment], said: Found) -> Meaning | None:
        tokens = [t for q in questions for t in self.part(q)]
        kind = self._question_kind(tokens, said)
        offered = {t.text for p in statements for t in self.part(p)}
        weighed = bool(offered & {"or"}) and any(t.text == "which" for t in tokens) and not _counted(said)
        only_name = (
            self.slot == "amount" and not _counted(said) and kind == "ask_fact"
        )  # 'sawdust, what is its C:N?'
        if (
            self.slot
            and statements
            and self._answers(said)
            and kind != "unsure"
            and not weighed
            and not only_name
        ):
            if kind in ("ask_calc", "ask_fact") and self.slot not in ("animals", "count", "weight"):
                self._counted_beside(questions, said)
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
            return Meaning("out_of_scope", outside=self.outside([*tokens, QUESTION_MARK]))
        if kind == "trouble" or (
            statements and symptoms and self.symptoms([t for s in statements for t in self.part(s)])
        ):
            facts = self._asked_facts(self.parts, "trouble")
            facts["symptoms"] = symptoms
            return Meaning("trouble", facts=facts, about=symptoms)
        if kind == "ask_fact" and statements and "ask_how" in self.hits and not _counted(said):
            kind = "ask_how"  # '38 tonnes?? show me your sums'
        if kind == "ask_fact" and statements and not self.slot and self._supposes(statements):
            kind = "ask_calc"
        facts = self._asked_facts(self.parts, kind)
        if kind == "ask_calc" and (moved := moved_dates(self.scan, self.lexicon, self.before)):
            facts.pop("days_as", None)
            facts.update(moved)
        topic = self._topic(tokens)
        if topic:
            facts["topic"] = topic
        meaning = Meaning(kind, facts=facts, about=[topic] if topic else [])
        only_named = (
            set(said.facts) <= {"quantities"}
            and any(t.text in ("the", "that", "your", "you") for t in self.part(statements[0])[:2])
            if statements
            else False
        )
        of_them = bool(
            {t.text for t in tokens} & {"they", "it", "them", "that"}
        )  # 'walnut chips, are they poison?'
        if (
            ("or" in offered or of_them)
            and set(said.facts) <= {"materials", "animals"}
            and not _counted(said)
        ):
            only_named = True
        if (
            statements
            and said.facts
            and not only_named
            and kind in ("ask_fact", "ask_why", "ask_how")
            and not self.slot
            and not weighed
        ):
            recorded = self._record("volunteer", said)
            recorded.also = [kind]
            return recorded
        if statements and said.facts and kind == "ask_calc":
            if self._told_first(tokens, statements, said):
                recorded = self._record("volunteer", said)
                recorded.also = [kind]
                return recorded
            meaning.also = ["volunteer"]
        return meaning

    def _counted_beside(self, questions: list[Segment], said: Found) -> None:
        """'240 m2, is that enough for 30 sucklers?' tells of thirty, where none were told before."""
        if said.facts.get("animals") or self.before.get("animals"):
            return
        counted = [a for a in self.found(questions, asking=False).facts.get("animals", []) if "count" in a]
        if counted:
            said.facts["animals"] = counted

    def _told_first(self, tokens: list[Token], statements: list[Segment], said: Found) -> bool:
        """Whole sentences of facts, and then a short question about them: 'big enough?'."""
        before = self.tokens[: statements[-1].end]
        ended = bool(before) and before[-1].kind == "end"
        short = len(tokens) <= 7 and not any(t.kind == "num" or "number" in t.tags for t in tokens)
        return ended and short and bool(set(said.facts) & {"animals", "materials", "area_m2"})

    def _supposes(self, statements: list[Segment]) -> bool:
        """'i want mixing 500 kg chips with 300 kg manure': no stock, the terms of a question."""
        words = {t.text for s in statements for t in self.part(s)}
        numbered = any(t.kind == "num" for s in statements for t in self.part(s))
        return numbered and bool(words & self.lexicon.lists["supposing"])

    def _question_kind(self, tokens: list[Token], said: Found) -> str:
        hits = {h.name for h in self.lexicon.acts.hits(tokens)}
        symptoms = self.symptoms(tokens)
        outside = self.outside([*tokens, QUESTION_MARK])
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
        if "ask_why" in hits and {"do", "with"} <= words:
            return "ask_why"  # 'what has the weather got to do with it?'
        if outside and not self._domain(words):
            return "out_of_scope"
        line = " " + " ".join(texts) + " "
        general = any(f" {p} " in line for p in self.lexicon.groups["general_question"])
        if symptoms and outside and general and not self._reports(texts, symptoms):
            return "ask_fact"
        much = "how" in words and words & {"much", "many"} and any(t.kind == "num" for t in tokens)
        if much and texts[:1] != ["why"] and self._calculates(tokens, hits):
            return "ask_calc"
        if symptoms and self._reports(texts, symptoms):
            return "trouble"
        if "ask_why" in hits:
            return "ask_why"
        if outside:
            return "out_of_scope"
        if "chitchat" in hits and not self._domain(words) and (not named or texts[:2] == ["do", "you"]):
            return "chitchat"
        if self._calculates(tokens, hits):
            return "ask_calc"
        if (
            not self._domain(words)
            and not symptoms
            and not any(t.tags & {"animal", "material"} for t in tokens)
        ):
            return "ask_fact" if "unsure" not in hits or not self.slot else "unsure"
        return "ask_fact"

    def _reports(self, texts: list[str], symptoms: list[str]) -> bool:
        """Whether a question about a sign tells that the sign is there."""
        words = set(texts)
        line = " " + " ".join(texts) + " "
        if any(f" {p} " in line for p in self.lexicon.groups["reports"]):
            return True
        if any(f" {p} " in line for p in self.lexicon.groups["general_question"]):
            return False
        if texts[:1] in (["is"], ["would"]) and texts[1:2] and texts[1][0].isdigit():
            return False  # 'is 65 % too wet?'
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
        if moved_dates(self.scan, self.lexicon, self.before):
            return True
        plain = texts[:1] in (["does"], ["do"], ["can"], ["is"]) and not any(t.kind == "num" for t in tokens)
        if (
            "what_if" in hits
            and not plain
            and (
                words
                & {"my", "i", "we", "our", "instead", "used", "use", "using", "add", "added", "go", "put"}
                or any(t.kind == "num" for t in tokens)
            )
        ):
            return True
        starts = {t.start for t in tokens}
        numbers = [
            i
            for i in self.scan.items
            if i.kind in ("number", "amount", "sides", "date", "price")
            and self.scan.tokens[i.start].start in starts
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
            and (
                texts[:1] == ["how"]
                or words & {"will", "they", "it", "need", "want", "enough", "that", "should", "i", "we"}
                | words & {"comes", "come", "cnratio", "mix", "total", "works", "gives", "makes"}
            )
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
            and not words & {"know", "tell", "measure", "stop", "wait"}
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


def _counted(said: Found) -> bool:
    """Whether any name came with a number."""
    entries = [*said.facts.get("animals", []), *said.facts.get("materials", [])]
    return any(set(entry) - {"class", "name", "breed"} for entry in entries)
