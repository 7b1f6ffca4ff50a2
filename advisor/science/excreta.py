"""What the animals leave on the bed, a head and day.

Amounts scale with live weight within a class; a figure told for the herd itself beats the tables.
"""

from __future__ import annotations

import numpy as np

from advisor.reasoning.derivations import derive
from advisor.reasoning.draws import Numbers
from advisor.season.simulate import HeadFlow
from advisor.season.step import (
    ASH,
    CARBON_QUICK,
    CARBON_SLOW,
    COMPONENTS,
    HOLDING,
    NITROGEN,
    PHOSPHORUS,
    POTASSIUM,
    SOLIDS_QUICK,
    SOLIDS_SLOW,
    TAN,
    WATER,
)

__all__ = ["head_flow", "live_weight_factor", "share_on_bed", "stack"]

Value = Numbers | float


@derive("group", "fraction", "live weight against the class's reference weight")
def live_weight_factor(weight_kg: Value, class_weight: Value) -> Value:
    """Live weight divided by the reference weight of the class.

    weight_kg, class_weight [kg/head].
    """
    typical = class_weight[0] if isinstance(class_weight, np.ndarray) else class_weight
    return weight_kg / typical


@derive("group", "fraction", "share of what they leave that lands on the bed")
def share_on_bed(hours_on_bed: Value, passage: str, passage_share_dropped: Value) -> Value:
    """Hours on the bed divided by 24, less the share dropped in a scraped passage.

    hours_on_bed [h/day]; passage 'none' or 'scraped'.
    """
    share = hours_on_bed / 24.0
    return share * (1.0 - passage_share_dropped) if passage == "scraped" else share


@derive("group", "kg/day", "fresh dung and urine a head", "per head and day, before the share on the bed")
def excreta_head_day(class_excreta: Value, live_weight_factor: Value) -> Value:
    """Table value times the live weight factor. [kg/day per head]"""
    return class_excreta * live_weight_factor


@derive("group", "kg/day", "dry matter a head", "per head and day")
def dry_matter_head_day(class_dry_matter: Value, live_weight_factor: Value) -> Value:
    """Table value times the live weight factor. [kg/day per head]"""
    return class_dry_matter * live_weight_factor


@derive("group", "kg/day", "volatile solids a head", "per head and day")
def volatile_solids_head_day(class_volatile_solids: Value, live_weight_factor: Value) -> Value:
    """Table value times the live weight factor. [kg/day per head]"""
    return class_volatile_solids * live_weight_factor


@derive("group", "fraction", "how much wetter the bed gets from the feed")
def feed_wetness(feed: str, silage_wetness_factor: Value) -> Value:
    """The silage factor for silage, 1 for other feeds."""
    return silage_wetness_factor if feed == "silage" else 1.0


@derive("group", "kg/day", "urine a head", "per head and day; nothing apart for birds")
def urine_head_day(class_urine: Value | None, live_weight_factor: Value, feed_wetness: Value) -> Value:
    """Table value times the live weight factor, times the wetness of the feed. [kg/day per head]"""
    return 0.0 if class_urine is None else class_urine * live_weight_factor * feed_wetness


@derive("group", "kg/day", "nitrogen a head", "excreted, per head and day")
def nitrogen_head_day(class_nitrogen: Value, live_weight_factor: Value) -> Value:
    """Table value times the live weight factor. [kg N/day per head]"""
    return class_nitrogen * live_weight_factor


@derive("group", "fraction", "ammoniacal share of the nitrogen", "of excreted N")
def tan_share(class_urine_nitrogen: Value) -> Value:
    """The class's share of nitrogen that is or soon turns ammoniacal."""
    return class_urine_nitrogen


@derive("group", "kg/day", "phosphorus a head", "excreted P, per head and day")
def phosphorus_head_day(class_phosphorus: Value, live_weight_factor: Value) -> Value:
    """Table value times the live weight factor. [kg P/day per head]"""
    return class_phosphorus * live_weight_factor


@derive("group", "kg/day", "potassium a head", "excreted K, per head and day")
def potassium_head_day(class_potassium: Value, live_weight_factor: Value) -> Value:
    """Table value times the live weight factor. [kg K/day per head]"""
    return class_potassium * live_weight_factor


def stack(rows: dict[int, Value]) -> Numbers:
    """A layer array from its components; missing ones are zero. Shape (COMPONENTS, draws)."""
    size = max((value.size for value in rows.values() if isinstance(value, np.ndarray)), default=1)
    out = np.zeros((COMPONENTS, size))
    for component, value in rows.items():
        out[component] = value
    return out


@derive("group", "", "what one head brings to the bed in a day")
def head_flow(
    share_on_bed: Value,
    excreta_head_day: Value,
    dry_matter_head_day: Value,
    volatile_solids_head_day: Value,
    urine_head_day: Value,
    nitrogen_head_day: Value,
    tan_share: Value,
    phosphorus_head_day: Value,
    potassium_head_day: Value,
    class_urine: Value | None,
    live_weight_factor: Value,
    feed_wetness: Value,
    carbon_of_volatile_solids: Value,
    excreta_quick_carbon_share: Value,
    faeces_held_moisture: Value,
    urine_solids_share: Value,
) -> HeadFlow:
    """Water, ash, carbon, nitrogen, P and K a head and day, times the share that lands on the bed.

    Carbon is 0.50 to 0.55 of volatile solids; the solids of the dung hold water to about 85 % moisture.
    Source: model brief; excretion tables of the class.
    """
    dry = np.minimum(dry_matter_head_day, 0.95 * excreta_head_day)
    extra_urine = 0.0 if class_urine is None else class_urine * live_weight_factor * (feed_wetness - 1.0)
    solids = np.minimum(volatile_solids_head_day, 0.98 * dry)
    carbon = carbon_of_volatile_solids * solids
    quick = excreta_quick_carbon_share
    dung_dry = np.maximum(dry - urine_solids_share * urine_head_day, 0.0)
    s = share_on_bed
    components = stack(
        {
            WATER: (excreta_head_day - dry + extra_urine) * s,
            ASH: (dry - solids) * s,
            SOLIDS_QUICK: solids * quick * s,
            SOLIDS_SLOW: solids * (1.0 - quick) * s,
            CARBON_QUICK: carbon * quick * s,
            CARBON_SLOW: carbon * (1.0 - quick) * s,
            NITROGEN: nitrogen_head_day * s,
            TAN: nitrogen_head_day * tan_share * s,
            PHOSPHORUS: phosphorus_head_day * s,
            POTASSIUM: potassium_head_day * s,
            HOLDING: dung_dry * faeces_held_moisture / (1.0 - faeces_held_moisture) * s,
        }
    )
    return HeadFlow(components, nitrogen_head_day * s, nitrogen_head_day * tan_share * s)
