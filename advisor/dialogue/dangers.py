"""What an answer has brought up that can kill: said the moment it is told, and not only on the plan."""

from __future__ import annotations

from advisor.dialogue.agenda import facts_told
from advisor.dialogue.building import farm_of
from advisor.dialogue.context import Context
from advisor.dialogue.draft import Draft
from advisor.dialogue.overview import caution_text
from advisor.dialogue.reply import Line

__all__ = ["new_dangers"]


def new_dangers(old: Draft, new: Draft, context: Context) -> list[Line]:
    """The worst danger to life that an answer has brought up."""
    from advisor.reasoning.rules import cautions_for

    cautions = {k: c for k, c in context.knowledge.cautions.items() if c.severity == "fatal"}
    known = {c.id for c in cautions_for(cautions, facts_told(old, context.knowledge)) if c.certain}
    found = [
        c
        for c in cautions_for(cautions, facts_told(new, context.knowledge))
        if c.certain and c.id not in known and "people" in c.caution.at_risk
    ]
    units = context.units_of(new)
    lines = [Line("caution", caution_text(shown.caution, context.knowledge, units)) for shown in found[:1]]
    return [Line("caution", text) for text in _harmful_bedding(old, new, context)] + lines


def _harmful_bedding(old: Draft, new: Draft, context: Context) -> list[str]:
    """Bedding that must not be laid under these animals, where an answer has brought it up."""
    if not new.materials or (old.materials == new.materials and old.groups == new.groups):
        return []
    from advisor.farm.barred import barred_words

    earlier, later = (farm_of(draft, context.knowledge) for draft in (old, new))
    said = barred_words(earlier, context.knowledge) if earlier else []
    return [text for text in barred_words(later, context.knowledge) if text not in said] if later else []
