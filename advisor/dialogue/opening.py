"""What stands on the screen before anything is typed."""

from __future__ import annotations

from advisor.casebook import Case
from advisor.dialogue.agenda import ask_of
from advisor.dialogue.asking import question_lines
from advisor.dialogue.context import Context
from advisor.dialogue.draft import draft_of
from advisor.dialogue.overview import progress
from advisor.dialogue.phrases import sentence
from advisor.dialogue.reply import Line, Reply

__all__ = ["opening"]


def opening(case: Case, context: Context) -> Reply:
    """What stands on the screen before anything is typed: a welcome, or where we were."""
    draft = draft_of(case)
    ask = ask_of(case.asked, draft, context.knowledge)
    lines = [Line("answer", sentence("welcome_back" if case.events else "welcome"))]
    if case.events:
        lines.append(Line("hint", progress(draft, context)))
    else:
        lines.append(Line("hint", sentence("welcome_hint")))
    if ask is not None:
        lines += question_lines(ask, draft, context)
    return Reply(tuple(lines), case.asked, progress(draft, context))
