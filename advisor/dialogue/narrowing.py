"""What the answer to a question would change: from the draws of the plan, and from what advice hangs on it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import sqrt
from typing import TYPE_CHECKING

from advisor.dialogue.agenda import Ask
from advisor.dialogue.context import Context
from advisor.dialogue.draft import Draft

if TYPE_CHECKING:
    from advisor.plan.make import Plan
    from advisor.reasoning.engine import Node

__all__ = ["Narrowing", "most_narrowing", "narrowings"]

# A fact that decides advice but moves no number counts as much as one that narrows the plan by this share.
_ADVICE_SHARE = 0.012


@dataclass(frozen=True)
class Narrowing:
    """How far one answer would narrow the plan: in all, and the result it would narrow most."""

    score: float
    result: str = ""
    part: float = 0.0


def narrowings(asks: Iterable[Ask], draft: Draft, context: Context) -> Mapping[str, Narrowing]:
    """For each question, what its answer is expected to narrow. Keys as in a case."""
    plan = context.plan(draft)
    moved = _moved(plan) if plan else {}
    out: dict[str, Narrowing] = {}
    for ask in asks:
        best = Narrowing(0.0)
        for fact in ask.question.fills:
            for subject in (ask.subject, "pen", ""):
                found = moved.get((fact, subject))
                if found and found.score > best.score:
                    best = found
        reads = sum(fact in context.small_facts for fact in ask.question.fills)
        if ask.question.fills and best.score == 0 and reads:
            best = Narrowing(_ADVICE_SHARE * reads * _advice(ask, context))
        out[ask.key] = best
    return out


def most_narrowing(asks: list[Ask], draft: Draft, context: Context) -> Ask | None:
    """The question whose answer is expected to narrow the deciding numbers most."""
    found = narrowings(asks, draft, context)
    return max(asks, key=lambda ask: found[ask.key].score, default=None)


def _moved(plan: Plan) -> dict[tuple[str, str], Narrowing]:
    """(fact, subject) -> how much of the spread of the headline numbers goes when it is known."""
    from advisor.plan.results import HEADLINES

    out: dict[tuple[str, str], Narrowing] = {}
    for name in HEADLINES:
        node = plan.results.get(name)
        if node is None:
            continue
        width = _relative_width(node)
        for leaf, share in plan.matters(name):
            if leaf.kind != "assumed":
                continue
            key = (leaf.name, leaf.subject[1])
            part = 1 - sqrt(max(0.0, 1 - share))
            old = out.get(key, Narrowing(0.0))
            better = part * width > old.part * _relative_width(plan.results.get(old.result))
            out[key] = Narrowing(
                old.score + part * width,
                name if better else old.result,
                part if better else old.part,
            )
    return out


def _relative_width(node: Node | None) -> float:
    """How wide the likely range of a result is, as a share of its middle."""
    if node is None:
        return 0.0
    low, middle, high = node.spread()
    return min(1.0, (high - low) / abs(middle)) if middle else 0.0


def _advice(ask: Ask, context: Context) -> float:
    """How many rules and cautions read the fact, as a number that grows slowly; danger to life counts double."""
    from advisor.reasoning.rules import condition_of

    count = 0.0
    for fact in ask.question.fills:
        for rule in context.knowledge.rules.values():
            count += fact in condition_of(rule.when).names
        for caution in context.knowledge.cautions.values():
            if fact in condition_of(caution.when).names:
                count += 2 if caution.severity == "fatal" else 1
    return sqrt(count)
