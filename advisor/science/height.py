"""How high the floor rises against gates, drinkers and headroom, and when each is reached."""

from __future__ import annotations

import numpy as np

from advisor.reasoning.derivations import derive
from advisor.reasoning.draws import Numbers
from advisor.season.simulate import PackRun

__all__ = ["day_for_good", "day_reached"]

Value = Numbers | float


def day_reached(depth_m: Numbers, level_m: Value) -> Value:
    """The first day on which the pack is as high as a level; NaN where it never is. depth_m (days, draws)."""
    above = depth_m >= level_m
    first = np.argmax(above, axis=0).astype(float)
    first[~above.any(axis=0)] = np.nan
    return first if first.size > 1 else float(first[0])


def day_for_good(depth_m: Numbers, level_m: Value) -> Value:
    """The day from which the pack stays as high as a level; NaN where it ends lower. depth_m (days, draws).

    A loose base may stand higher for a day or two than it ever does again before spring.
    """
    below = depth_m < level_m
    last = np.where(below.any(axis=0), len(depth_m) - np.argmax(below[::-1], axis=0), 0).astype(float)
    last[last >= len(depth_m)] = np.nan
    return last if last.size > 1 else float(last[0])


@derive("pen", "m", "lowest the pack stands", "after the loose base has been trodden down")
def pen_lowest_depth_m(pack: PackRun) -> Value:
    """The smallest depth of any day. [m]"""
    lowest: Numbers = pack.depth_m.min(axis=0)
    return lowest if lowest.size > 1 else float(lowest[0])


@derive(
    "pen", "m/week", "how fast the floor rises", "mean from its lowest, once the base is trodden, to turnout"
)
def pen_rise_m_week(pack: PackRun) -> Value:
    """Depth at turnout less the smallest depth, over the weeks between. [m/week]"""
    days = pack.depth_m.shape[0] - 1 - np.argmin(pack.depth_m, axis=0)
    rise: Numbers = 7.0 * (pack.depth_m[-1] - pack.depth_m.min(axis=0)) / np.maximum(days, 1)
    return rise if rise.size > 1 else float(rise[0])


@derive("pen", "m", "gate height left above the pack at turnout")
def pen_gate_margin_m(gate_height_m: Value, pen_end_depth_m: Value) -> Value:
    """Gate height above the bare floor less the pack. [m]"""
    return gate_height_m - pen_end_depth_m


@derive("pen", "m", "headroom left at turnout")
def pen_headroom_left_m(headroom_m: Value, pen_end_depth_m: Value) -> Value:
    """Clear height above the bare floor less the pack. [m]"""
    return headroom_m - pen_end_depth_m


@derive("pen", "day", "day on which the pack reaches the drinker", "counted from the first day")
def drinker_reached_day(drinker_height_m: Value, pack: PackRun, drinker_clearance: Value) -> Value:
    """First day with the pack within the clearance that animals need to drink. [day]"""
    return day_reached(pack.depth_m, np.maximum(drinker_height_m - drinker_clearance, 0.0))


@derive("pen", "day", "day on which the gate or wall gets too low", "counted from the first day")
def gate_reached_day(gate_height_m: Value, pack: PackRun, gate_height_least: Value) -> Value:
    """Day from which less gate is left above the pack than holds the animals. [day]"""
    return day_for_good(pack.depth_m, gate_height_m - gate_height_least)


@derive("pen", "day", "day on which the pack reaches roof or lamps", "counted from the first day")
def headroom_reached_day(headroom_m: Value, pack: PackRun, headroom_least: Value) -> Value:
    """Day from which less clear height is left above the pack than animals and keeper need. [day]"""
    return day_for_good(pack.depth_m, headroom_m - headroom_least)
