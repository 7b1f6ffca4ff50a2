"""One day of a bedded pack: `step(state, inputs, parameters)`.

A layer is an array of components by draws; amounts are kg for the whole pen. Two layers: the top holds
about the last ten days of additions, takes the evaporation and decides whether the bed is dry; what it
cannot hold, and a share of it each day, passes to the lower pack.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from advisor.reasoning.draws import Numbers

__all__ = [
    "ASH",
    "CARBON_QUICK",
    "CARBON_SLOW",
    "COMPONENTS",
    "HOLDING",
    "NITROGEN",
    "PHOSPHORUS",
    "POTASSIUM",
    "SOLIDS_QUICK",
    "SOLIDS_SLOW",
    "TAN",
    "WATER",
    "Flows",
    "Inputs",
    "Parameters",
    "State",
    "advance",
    "c_to_n",
    "dry_matter",
    "moisture",
    "nitrogen_loss_factor",
    "share_of",
    "step",
]

#: Components of a layer. SOLIDS are volatile solids with their CARBON; HOLDING is the water that the
#: solids can hold before it drains; TAN is the ammoniacal part of NITROGEN (total).
(
    WATER,
    ASH,
    SOLIDS_QUICK,
    SOLIDS_SLOW,
    CARBON_QUICK,
    CARBON_SLOW,
    NITROGEN,
    TAN,
    PHOSPHORUS,
    POTASSIUM,
    HOLDING,
) = range(11)
COMPONENTS = 11
_DECAYING = slice(SOLIDS_QUICK, CARBON_SLOW + 1)  # the four rows that microbes eat, in one piece
_TINY = 1e-300

Value = Numbers | float


@dataclass(frozen=True)
class Parameters:
    """What stays the same all season. Each is a number or an array over draws."""

    area_m2: Value
    quick_decay_per_day: Value
    slow_decay_per_day: Value
    passed_down_per_day: Value
    nitrogen_loss_share: Value
    nitrogen_loss_low: float
    nitrogen_loss_high: float
    ammonia_share_of_tan: Value
    c_to_n_effect: Value
    c_to_n_from: float
    c_to_n_to: float
    nitrogen_locked_kg_kg: Value
    dry_floor_moisture: Value
    evaporation_full_moisture: Value


@dataclass(frozen=True)
class Inputs:
    """What one day brings, for the whole pen."""

    added: Numbers  # (COMPONENTS, draws): excreta, bedding and wasted feed together
    excreted_nitrogen: Value
    excreted_tan: Value
    locking_bedding_kg: Value
    rain_kg: Value
    evaporation_kg: Value
    ammonia_warmth: Value = 1.0  # ammonia of the day's temperature over that the shares stand for


@dataclass(frozen=True)
class State:
    """The pack at the end of a day."""

    top: Numbers
    lower: Numbers

    @property
    def whole(self) -> Numbers:
        """Both layers together."""
        total: Numbers = self.top + self.lower
        return total


@dataclass(frozen=True)
class Flows:
    """What left the pack on one day."""

    ammonia_nitrogen: Numbers
    other_nitrogen: Numbers
    carbon: Numbers
    solids: Numbers
    evaporated: Numbers
    drained: Numbers
    drained_potassium: Numbers


def dry_matter(layer: Numbers) -> Numbers:
    """Dry matter of a layer [kg]: ash and volatile solids."""
    total: Numbers = layer[ASH] + layer[SOLIDS_QUICK] + layer[SOLIDS_SLOW]
    return total


def moisture(layer: Numbers) -> Numbers:
    """Water as share of the whole [fraction, wet basis]; 0 for an empty layer."""
    return share_of(layer[WATER], layer[WATER] + dry_matter(layer))


def c_to_n(*layers: Numbers) -> Numbers:
    """Carbon to nitrogen by weight, of the layers together; 0 where there is no nitrogen."""
    carbon, nitrogen = _carbon(layers[0]), layers[0][NITROGEN]
    for layer in layers[1:]:
        carbon, nitrogen = carbon + _carbon(layer), nitrogen + layer[NITROGEN]
    ratio: Numbers = carbon / np.maximum(nitrogen, _TINY)
    ratio[nitrogen <= 0.0] = 0.0
    return ratio


def share_of(part: Numbers, whole: Numbers) -> Numbers:
    """A part over its whole; 0 where there is nothing. (Plain division is much faster than a masked one.)"""
    share: Numbers = part / np.maximum(whole, _TINY)
    return share


def _carbon(layer: Numbers) -> Numbers:
    total: Numbers = layer[CARBON_QUICK] + layer[CARBON_SLOW]
    return total


def nitrogen_loss_factor(ratio: Value, effect: Value, low: float, high: float) -> Value:
    """How the carbon-to-nitrogen ratio shifts the loss: 1 + effect at `low` or less, 1 - effect at `high` or more.

    Source: model judgement; the direction is published (figure nitrogen_loss_c_to_n_effect).
    """
    place = np.minimum(np.maximum((np.asarray(ratio) - low) / (high - low), 0.0), 1.0)
    factor: Numbers = 1.0 + effect * (1.0 - 2.0 * place)
    return factor


def step(state: State, day: Inputs, p: Parameters) -> tuple[State, Flows]:
    """The pack one day later, and what left it. The state given stays as it is; see `advance`."""
    after = State(state.top.copy(), state.lower.copy())
    return after, advance(after, day, p)


def advance(state: State, day: Inputs, p: Parameters) -> Flows:
    """Bring a pack forward by one day in place, and give what left it.

    In this order: microbes eat carbon; the day's additions land on top and lose nitrogen; the top dries
    by evaporation, drains what it cannot hold, and passes a share down; the lower pack drains in turn.
    Water, ash, P are conserved; C, N and K with the flows counted. Shapes: layers (COMPONENTS, draws).
    """
    top, lower = state.top, state.lower
    decay = np.empty((4, top.shape[1]))
    decay[0::2], decay[1::2] = p.quick_decay_per_day, p.slow_decay_per_day
    carbon_lost, solids_lost = _decay(top, decay)
    for lost, more in zip((carbon_lost, solids_lost), _decay(lower, decay), strict=True):
        lost += more

    top += day.added
    top[WATER] += day.rain_kg
    ammonia, other = _nitrogen_loss(top, lower, day, p)

    evaporated = _evaporation(top, day.evaporation_kg, p)
    top[WATER] -= evaporated

    _drain(top, into=lower)
    moved = top * p.passed_down_per_day
    top -= moved
    lower += moved
    before = lower[WATER].copy()
    drained = np.maximum(before - lower[HOLDING], 0.0)
    lower[WATER] -= drained
    potassium = lower[POTASSIUM] * share_of(drained, before)
    lower[POTASSIUM] -= potassium
    return Flows(ammonia, other, carbon_lost, solids_lost, evaporated, drained, potassium)


def _decay(layer: Numbers, decay: Numbers) -> tuple[Numbers, Numbers]:
    """First-order loss of carbon and its solids from each pool; the solids' holding of water goes with them."""
    solids_before = layer[SOLIDS_QUICK] + layer[SOLIDS_SLOW]
    lost = layer[_DECAYING] * decay
    layer[_DECAYING] -= lost
    solids = lost[0] + lost[1]
    layer[HOLDING] *= 1.0 - share_of(solids, solids_before)
    return lost[2] + lost[3], solids


def _nitrogen_loss(top: Numbers, lower: Numbers, day: Inputs, p: Parameters) -> tuple[Numbers, Numbers]:
    """Nitrogen that leaves on the day it is dropped: ammonia, and the rest (N2, N2O, NO, leaching).

    Ammonia = factor x ammoniacal N not locked up x the day's warmth; the total is a share of excreted N, moved by the
    pack's C:N within its published range. Taken from the ammoniacal pool first, then the organic.
    """
    factor = nitrogen_loss_factor(c_to_n(top, lower), p.c_to_n_effect, p.c_to_n_from, p.c_to_n_to)
    share = np.minimum(np.maximum(p.nitrogen_loss_share * factor, p.nitrogen_loss_low), p.nitrogen_loss_high)
    total = share * day.excreted_nitrogen
    free_tan = np.maximum(day.excreted_tan - p.nitrogen_locked_kg_kg * day.locking_bedding_kg, 0.0)
    gassing = np.minimum(p.ammonia_share_of_tan * factor * day.ammonia_warmth, 1.0)
    ammonia = np.minimum(gassing * free_tan, total)
    other = total - ammonia
    from_tan = np.minimum(total, top[TAN])
    top[TAN] -= from_tan
    top[NITROGEN] -= total
    return ammonia, other


def _evaporation(top: Numbers, wet_rate_kg: Value, p: Parameters) -> Numbers:
    """Water that dries off in a day: the full rate from a wet top, less and less as the top dries. [kg]

    Below `evaporation_full_moisture` the rate falls in step with the water left above the dry floor, both
    per kg of dry matter. The day's end is what counts (an implicit step), so that more dry bedding never
    leaves the top wetter. Source: the falling-rate stage of drying, textbook form from memory.
    """
    floor = p.dry_floor_moisture / (1.0 - p.dry_floor_moisture)
    wet = p.evaporation_full_moisture / (1.0 - p.evaporation_full_moisture)
    dry = dry_matter(top)
    free = np.maximum(top[WATER] - dry * floor, 0.0)
    full = dry * np.maximum(wet - floor, 0.0)
    slowed: Numbers = share_of(free * wet_rate_kg, full + wet_rate_kg)
    return np.minimum(slowed, wet_rate_kg)


def _drain(layer: Numbers, into: Numbers) -> None:
    """Water above what the layer holds runs into the one below."""
    excess = np.maximum(layer[WATER] - layer[HOLDING], 0.0)
    layer[WATER] -= excess
    into[WATER] += excess
