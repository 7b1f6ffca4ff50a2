"""The conversation: a pure function from a case and a message to the case and a reply."""

from advisor.dialogue.context import Context
from advisor.dialogue.draft import draft_of
from advisor.dialogue.hearing import context_for
from advisor.dialogue.reply import Effect, Line, Reply
from advisor.dialogue.turn import opening, think, turn

__all__ = ["Context", "Effect", "Line", "Reply", "context_for", "draft_of", "opening", "think", "turn"]
