"""Answers told in passing: the feed, the births, who turns it, what a bag weighs, while another question is open."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from advisor.dialogue.agenda import Ask
from advisor.dialogue.context import Heard, Told
from advisor.dialogue.draft import Act, Draft, draft_of
from advisor.dialogue.intake import choose, say_yes_or_no, take
from advisor.dialogue.taken import Taken

if TYPE_CHECKING:
    from advisor.dialogue.turn import Now

__all__ = ["Passing", "passing"]

_KINDS = ("answer", "volunteer", "correction")


@dataclass(frozen=True)
class Passing:
    """What was told in passing, and the message without it."""

    told: tuple[tuple[Told, str], ...]
    rest: str

    def acts(self, now: Now, before: Iterable[Act]) -> list[Act]:
        """What it says of the farm, once the rest of the message is folded in."""
        acts = list(before)
        first = len(acts)
        for entry, words in self.told:
            acts += _acts(entry, words, now, draft_of(now.case, acts))
        return acts[first:]


def passing(now: Now, heard: Heard) -> Passing | None:
    """What a message that tells something tells besides what was asked; None where there is nothing."""
    if heard.kind not in _KINDS and heard.act not in ("reask", "clarify"):
        return None
    weighed = any(one.get("unit_mass_kg") is not None for one in heard.facts.get("materials") or ())

    def wanted(entry: Told) -> bool:
        if entry.question == "bale_mass":
            return not weighed and _counted(now.draft) is not None
        return entry.question in now.context.knowledge.questions

    told, rest = now.context.in_passing(now.text, wanted)
    open_or_told = {entry.question for entry, _ in told if not entry.beside} | {now.ask.id if now.ask else ""}
    if any(entry.beside and entry.beside not in open_or_told for entry, _ in told):
        told, rest = now.context.in_passing(
            now.text, lambda entry: wanted(entry) and (not entry.beside or entry.beside in open_or_told)
        )
    return Passing(told, rest) if told else None


def _counted(draft: Draft) -> str | None:
    """The one bedding counted in bales or bags, whose weight may be told by itself."""
    counted = [key for key, told in draft.materials.items() if "packs" in told]
    return counted[0] if len(counted) == 1 else None


def _acts(entry: Told, words: str, now: Now, draft: Draft) -> list[Act]:
    """One answer, as acts."""
    question = now.context.knowledge.questions[entry.question]
    subject = (_counted(draft) or "") if question.each == "material" else ""
    ask = Ask(entry.question, question, subject)
    if not entry.choice and not entry.sets:
        heard = now.context.listen(words, ask.neutral(draft, now.context.knowledge), {}, now.context.today)
        return take(heard.facts, ask, draft, now.context, said=words).acts
    taken = Taken(now.context.names)
    if entry.choice and question.kind == "yes_no":
        say_yes_or_no(taken, ask, _births(entry, words, now, draft), draft)
    elif entry.choice:
        choose(taken, question, subject, entry.choice, draft)
    for pattern, value in entry.sets.items():
        for place in draft.places(pattern, subject):
            taken.put(place, value)
    return taken.acts


def _births(entry: Told, words: str, now: Now, draft: Draft) -> str:
    """Births after turnout are none while housed: 'due mid April' with animals that go out in March."""
    end = draft.at("end")
    if entry.choice == "yes" and end:
        heard = now.context.listen(words, "date the animals go out", {}, now.context.today)
        due = str(heard.facts.get("end") or heard.facts.get("start") or "")
        if due and _months_after(end[5:], due) in range(1, 6):
            return "no"
    return entry.choice


def _months_after(end: str, due: str) -> int:
    """Whole months from one day of the year to another, both MM-DD; a day later in the same month counts as one."""
    months = (int(due[:2]) - int(end[:2])) % 12
    return months + (1 if months == 0 and due > end else 0)
