"""Room: what a deep bed needs to stay dry, and what the law asks; the larger is advised."""

from __future__ import annotations

import numpy as np

from advisor.knowledge.models import Region, SpaceLimit
from advisor.reasoning.derivations import derive
from advisor.reasoning.draws import Numbers, typical
from advisor.season.timeline import Timeline

__all__ = ["legal_limit", "space_m2_head", "space_needed_m2"]

Value = Numbers | float


def legal_limit(
    regions: tuple[Region, ...], species: str, class_id: str, weight_kg: float
) -> tuple[SpaceLimit | None, Region | None]:
    """The largest limit that the given rule sets hold for such an animal; (None, None) where none does.

    weight_kg [kg/head] is the typical live weight.
    """
    best: tuple[SpaceLimit | None, Region | None] = (None, None)
    most = 0.0
    for region in regions:
        for limit in region.space:
            band = limit.weight_from_kg <= weight_kg and (
                limit.weight_to_kg is None or weight_kg <= limit.weight_to_kg
            )
            if limit.species != species or not band or (limit.classes and class_id not in limit.classes):
                continue
            area = limit_area(limit, weight_kg)
            if area > most:
                best, most = (limit, region), area
    return best


def limit_area(limit: SpaceLimit, weight_kg: float) -> float:
    """Area of a limit for a live weight [m2/head]."""
    by_weight = limit.per_weight.value * weight_kg if limit.per_weight else 0.0
    return max(limit.figure.value, by_weight)


@derive("group", "m2/head", "bedded area a head that a deep bed needs to stay dry", "per head")
def litter_space_m2_head(class_litter_space: Value, live_weight_factor: Value) -> Value:
    """The class's bedded area times live weight factor to the power two thirds. [m2/head]

    Body surface and lying area grow with weight to about the power 0.67.
    """
    return class_litter_space * np.power(live_weight_factor, 2.0 / 3.0)


@derive("group", "m2/head", "least area by the rules of the region", "per head; zero where no rule is held")
def legal_space_m2_head(
    space_rules: tuple[Region, ...], class_species: str, class_id: str, weight_kg: Value
) -> Value:
    """The rule for this species, class and weight, from the region's rule set.

    An unknown region takes the strictest rule held anywhere.
    """
    limit, _ = legal_limit(space_rules, class_species, class_id, typical(weight_kg))
    return limit_area(limit, typical(weight_kg)) if limit else 0.0


@derive(
    "group", "m2/head", "bedded area a head", "the larger of what the litter needs and what the rules ask"
)
def space_m2_head(litter_space_m2_head: Value, legal_space_m2_head: Value) -> Value:
    """The larger of litter need and legal least. [m2/head]"""
    return np.maximum(litter_space_m2_head, legal_space_m2_head)


@derive("pen", "m2", "bedded area these animals need", "on the day when most of them are there")
def space_needed_m2(
    timeline: Timeline,
    group_keys: tuple[str, ...],
    each_group_space_m2_head: tuple[Value, ...],
    each_group_count_factor: tuple[Value, ...],
) -> Value:
    """Area a head times the heads there, summed over the groups of the pen, on the fullest day. [m2]"""
    a_head = [a * f for a, f in zip(each_group_space_m2_head, each_group_count_factor, strict=True)]
    return _fullest(timeline, group_keys, a_head)


@derive("pen", "m2", "floor area of the bedded pen", "assumed to be what the animals need, as none was told")
def area_m2(space_needed_m2: Value) -> Value:
    """Not told: taken as just what the animals need, whatever that turns out to be, but never nothing. [m2]"""
    return np.maximum(space_needed_m2, 0.01)


@derive("pen", "fraction", "bedded area as a share of what the animals need")
def pen_space_ratio(area_m2: Value, space_needed_m2: Value) -> Value:
    """Area divided by need."""
    return area_m2 / np.maximum(space_needed_m2, 1e-9)


@derive("pen", "fraction", "bedded area as a share of the legal least", "large where no rule is held")
def pen_law_ratio(
    area_m2: Value,
    timeline: Timeline,
    group_keys: tuple[str, ...],
    each_group_legal_space_m2_head: tuple[Value, ...],
) -> Value:
    """Area divided by the legal least of the animals there on the fullest day."""
    least = _fullest(timeline, group_keys, list(each_group_legal_space_m2_head))
    return area_m2 / least if typical(least) > 0 else 99.0


@derive("farm", "fraction", "bedded area as a share of what the animals need", "tightest pen")
def space_ratio(each_pen_pen_space_ratio: tuple[Value, ...]) -> Value:
    """The smallest over the pens."""
    return _least(each_pen_pen_space_ratio)


@derive("farm", "fraction", "bedded area as a share of the legal least", "tightest pen")
def space_law_ratio(each_pen_pen_law_ratio: tuple[Value, ...]) -> Value:
    """The smallest over the pens."""
    return _least(each_pen_pen_law_ratio)


@derive("farm", "head", "animals on the bed")
def head_count(each_group_count: tuple[Value, ...]) -> Value:
    """Sum of all groups."""
    return sum(each_group_count, 0.0)


def _fullest(timeline: Timeline, groups: tuple[str, ...], a_head: list[Value]) -> Value:
    """The largest sum over the groups of heads times an amount a head, on any day of the season."""
    if not groups:
        return 0.0
    heads = np.unique(np.array([timeline.heads[key] for key in groups]), axis=1)
    days = [sum((n * a for n, a in zip(day, a_head, strict=True)), 0.0) for day in heads.T]
    fullest = np.maximum.reduce(np.broadcast_arrays(*days))
    return fullest if fullest.ndim else float(fullest)


def _least(values: tuple[Value, ...]) -> Value:
    return np.minimum.reduce(np.broadcast_arrays(*values)) if values else 0.0
