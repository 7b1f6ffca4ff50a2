"""Beside the alarms themselves: a bare cry for help, help that is on its way, and when it is over."""

from __future__ import annotations

import re
from dataclasses import replace

from advisor.dialogue.context import Heard
from advisor.dialogue.phrases import normal, sentence, table
from advisor.dialogue.reply import Line
from advisor.dialogue.turn import Now, Outcome, finish, listened

__all__ = ["cried", "help_comes", "safe_again", "who_is_in_danger"]

#: what the mere word of an ambulance or a fire engine is heard as
_CALLED = ("fire", "person injured")


def help_comes(now: Now, heard: Heard) -> bool:
    """'The fire brigade is coming', after an alarm, with no emergency in it that was not told before."""
    last = now.case.events[-1] if now.case.events else None
    if last is None or last.kind != "alarm":
        return False
    clauses = [part for part in re.split(r"[,;.!]|\band\b|\bbut\b", now.text) if part.strip()]
    rest = [part for part in clauses if not _of_help(part)]
    if len(rest) == len(clauses):
        return False
    before = set(listened(replace(now, text=last.message), None).facts.get("alarm") or ())
    beside = listened(replace(now, text=", ".join(rest)), None).facts.get("alarm") or () if rest else ()
    return set(beside) <= before and set(heard.facts.get("alarm") or ()) <= {*before, *_CALLED}


def safe_again(now: Now, heard: Heard) -> Outcome | None:
    """'He is out now', after an alarm, with no emergency in it; None where nothing of the kind is said.

    Any word more may mean somebody who is not: 'dad is out but my brother is still in'. Then danger stays first.
    """
    last = now.case.events[-1] if now.case.events else None
    if last is None or last.kind != "alarm" or heard.act == "alarm":
        return None
    said = normal(now.text)
    if not any(f" {words} " in f" {said} " for words in table("safe_now")):
        return None
    if set(said.split()) <= set(table("safe_words")) and "?" not in now.text:
        return finish(now, [Line("answer", sentence("safe_again"))], stay=True)
    number = now.context.emergency(now.draft)
    return finish(now, [Line("alarm", sentence("perhaps_safe", number=number))], kind="alarm", stay=True)


def _of_help(clause: str) -> bool:
    said = f" {normal(clause)} "
    return any(f" {words} " in said for words in table("help_coming"))


def cried(text: str) -> bool:
    """Whether a message is a cry for help and nothing else."""
    if "!" not in text or "help" not in text.casefold():
        return False
    from advisor.language.cries import is_cry

    return is_cry(text, table("cry_words"))


def who_is_in_danger(now: Now) -> Outcome:
    """A bare cry for help: danger first, and then how to get help with the questions."""
    number = now.context.emergency(now.draft)
    lines = [Line("alarm", sentence("cry", number=number)), Line("answer", sentence("cry_help"))]
    return finish(now, [*lines, *(Line("hint", text) for text in table("help"))], kind="alarm", stay=True)
