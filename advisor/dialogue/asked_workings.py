"""The workings that an answer in knowledge/asked may name: each gives further places and facts for conditions."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from advisor.dialogue.asked_room import room, rules, sharing
from advisor.dialogue.asked_spring import compare, holds, ready, sick, use_of, waits
from advisor.dialogue.asked_supply import cost, rates, supply
from advisor.dialogue.turn import Now

if TYPE_CHECKING:
    from advisor.plan.make import Plan

__all__ = ["WORKINGS", "Working"]

Working = Callable[[Now, "Plan | None"], Mapping[str, Any]]

WORKINGS: Mapping[str, Working] = {
    "compare": compare,
    "cost": cost,
    "holds": holds,
    "rates": rates,
    "ready": ready,
    "room": room,
    "rules": rules,
    "sharing": sharing,
    "sick": sick,
    "supply": supply,
    "use_of": use_of,
    "waits": waits,
}
