"""The language package as the dialogue uses it: loaded at the first message, not before."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from advisor.dialogue.context import Context, Heard, Told
from advisor.knowledge import Knowledge
from advisor.plan.wording import Units

if TYPE_CHECKING:
    from advisor.language import Lexicon
    from advisor.language.replies import Phrase

__all__ = ["Ears", "context_for"]


class Ears:
    """Listens with the lexicon of a knowledge base, and words what the language package owns."""

    def __init__(self, knowledge: Knowledge) -> None:
        self._knowledge = knowledge
        self._lexicon: Lexicon | None = None
        self._phrases: Mapping[str, Phrase] = {}

    def load(self) -> Lexicon:
        """Build the lexicon, once."""
        if self._lexicon is None:
            from advisor.knowledge.base import plain_data
            from advisor.language import lexicon
            from advisor.language.replies import Phrase

            raw = plain_data("phrases/understand.yaml")
            self._phrases = {name: Phrase.model_validate(each) for name, each in raw.items()}
            self._lexicon = lexicon(self._knowledge)
        return self._lexicon

    def listen(self, text: str, asked: str | None, before: Mapping[str, Any], today: dt.date) -> Heard:
        """What a message means."""
        from advisor.language import understand

        return understand(text, asked, before, self.load(), today)

    def in_passing(
        self, text: str, wanted: Callable[[Told], bool]
    ) -> tuple[tuple[tuple[Told, str], ...], str]:
        """What a message tells of questions that are not open, and the rest of it."""
        from advisor.language.unasked import in_passing

        lexicon = self.load()
        entries = lexicon.tables.unasked
        found, rest = in_passing(text, lexicon, {name for name, entry in entries.items() if wanted(entry)})
        return tuple((entries[one.name], one.words) for one in found), rest

    def answer(self, heard: Heard, emergency: str) -> str:
        """The words for an alarm, for what is declined and for what is unclear."""
        from advisor.language.reading import Reading
        from advisor.language.replies import first_words, reply_to

        lexicon = self.load()
        if heard.act == "alarm":
            return first_words(self._phrases, [str(name) for name in heard.facts.get("alarm", ())], emergency)
        return reply_to(heard, self._phrases, lexicon, None) if isinstance(heard, Reading) else ""


def context_for(
    knowledge: Knowledge, today: dt.date, units: Units = "metric", seed: int = 1, draws: int = 200
) -> Context:
    """A context that listens with the language package."""
    ears = Ears(knowledge)
    return Context(knowledge, today, ears.listen, ears.answer, ears.in_passing, units, seed, draws)
