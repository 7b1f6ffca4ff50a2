"""What else a message does beside its main point: it asks as well, reports a trouble, gives a command."""

from __future__ import annotations

from advisor.language.meaning import Meaning
from advisor.language.questions import Questions
from advisor.language.text import Token

__all__ = ["Further"]

_SHOWS = ("show_plan", "summary", "print", "save", "progress", "goto", "repeat")


class Further(Questions):
    """Adds the kinds that the main one leaves out."""

    def _further(self, meaning: Meaning) -> None:
        if meaning.nothing or meaning.kind not in ("answer", "volunteer", "correction", "navigate"):
            return
        if meaning.kind == "navigate" and not any(p.question for p in self.parts[1:]):
            return
        self._asks_too(meaning)
        if meaning.kind == "navigate":
            return
        self._reports_too(meaning)
        self._commands_too(meaning)

    def _asks_too(self, meaning: Meaning) -> None:
        for part in self.parts:
            tokens = self.part(part)
            if not part.question or len(tokens) < 2 or self.navigation(tokens):
                continue
            if meaning.kind == "correction" and part is self.parts[0] and tokens[-1].text != "?":
                continue
            kind = self._question_kind(tokens, self.found([part], asking=True))
            if kind == "chitchat" and tokens[-1].text == "?":
                kind = "ask_fact"
            if kind.startswith("ask_") and kind not in meaning.also and len(meaning.also) < 2:
                meaning.also.append(kind)

    def _clauses(self) -> list[list[Token]]:
        out: list[list[Token]] = [[]]
        for token in self.tokens:
            if token.kind == "end" or token.text in (",", ";", "-", "and", "but", "though", "then"):
                out.append([])
            else:
                out[-1].append(token)
        return [clause for clause in out if clause]

    def _reports_too(self, meaning: Meaning) -> None:
        """'14 hours, and the bed is so wet': a clause of its own, with no number, that tells a sign."""
        if self.slot in ("moisture", "option", "name") or "trouble" in meaning.also:
            return
        found: list[str] = []
        for at, clause in enumerate(self._clauses()):
            words = {t.text for t in clause}
            numbered = any(t.kind == "num" or "number" in t.tags for t in clause)
            if at == 0 or len(clause) < 3 or numbered or words & {"no", "not", "?"}:
                continue
            if not words & self.lexicon.lists["tells"]:
                continue
            found += [s for s in self.symptoms(clause) if s not in found]
        if found:
            meaning.also.append("trouble")
            meaning.facts["symptoms"] = found

    def _answers_it(self, go: str) -> bool:
        """'Yes, save it', where whether to save was asked."""
        return bool(
            self.scan.asked and self.scan.asked.slot == "yes_no" and go in self.scan.asked.words.split()
        )

    def _commands_too(self, meaning: Meaning) -> None:
        """'no, 17 cows. and show me the plan'."""
        for clause in self._clauses()[1:]:
            nav = self.navigation(clause) if len(clause) <= 8 else None
            if (
                nav
                and nav[0] in _SHOWS
                and not self._answers_it(nav[0])
                and "go" not in meaning.facts
                and "navigate" not in meaning.also
            ):
                meaning.also.append("navigate")
                meaning.facts["go"] = nav[0]
                if nav[1]:
                    meaning.facts["go_to"] = nav[1]
