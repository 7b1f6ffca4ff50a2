"""Layers, inputs and parameters for the tests of the season: plain arithmetic, no knowledge base."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from hypothesis import strategies as st

from advisor.reasoning.draws import Numbers
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
    Inputs,
    Parameters,
    State,
)


@dataclass(frozen=True)
class Stuff:
    """What a kilogram of dung or bedding holds."""

    moisture: float
    ash: float
    carbon: float
    nitrogen: float
    tan: float
    quick: float
    holds: float  # kg water a kg of dry matter

    def kg(self, mass: float) -> Numbers:
        """A layer of so many kilograms, one draw wide."""
        dry = mass * (1.0 - self.moisture)
        solids = dry * (1.0 - self.ash)
        out = np.zeros((COMPONENTS, 1))
        out[WATER] = mass * self.moisture
        out[ASH] = dry * self.ash
        out[SOLIDS_QUICK], out[SOLIDS_SLOW] = solids * self.quick, solids * (1.0 - self.quick)
        out[CARBON_QUICK], out[CARBON_SLOW] = out[SOLIDS_QUICK] * self.carbon, out[SOLIDS_SLOW] * self.carbon
        out[NITROGEN] = dry * self.nitrogen
        out[TAN] = out[NITROGEN] * self.tan
        out[PHOSPHORUS], out[POTASSIUM] = dry * 0.006, dry * 0.02
        out[HOLDING] = dry * self.holds
        return out


DUNG = Stuff(0.87, 0.15, 0.53, 0.035, 0.5, 0.45, 5.5)
STRAW = Stuff(0.13, 0.08, 0.49, 0.006, 0.0, 0.4, 1.9)

dungs = st.builds(
    Stuff, st.floats(0.75, 0.9), st.floats(0.08, 0.25), st.floats(0.45, 0.55), st.floats(0.02, 0.06),
    st.floats(0.2, 0.8), st.floats(0.2, 0.7), st.floats(4.0, 5.6),
)  # fmt: skip
#: bedding that is dry and, soaked, is no wetter than soaked dung
beddings = st.builds(
    Stuff, st.floats(0.05, 0.25), st.floats(0.01, 0.12), st.floats(0.4, 0.52), st.floats(0.001, 0.02),
    st.just(0.0), st.floats(0.05, 0.6), st.floats(1.0, 3.5),
)  # fmt: skip


def parameters(**changes: float) -> Parameters:
    """Usual parameters, some of them changed."""
    usual: dict[str, float] = {
        "area_m2": 50.0, "quick_decay_per_day": 0.006, "slow_decay_per_day": 0.0004, "passed_down_per_day": 0.1,
        "nitrogen_loss_share": 0.25, "nitrogen_loss_low": 0.1, "nitrogen_loss_high": 0.4,
        "ammonia_share_of_tan": 0.12, "c_to_n_effect": 0.2, "c_to_n_from": 15.0, "c_to_n_to": 35.0,
        "nitrogen_locked_kg_kg": 0.0067, "dry_floor_moisture": 0.12, "evaporation_full_moisture": 0.65,
    }  # fmt: skip
    return Parameters(**{**usual, **changes})


some_parameters = st.builds(
    parameters,
    quick_decay_per_day=st.floats(0.0, 0.02), slow_decay_per_day=st.floats(0.0, 0.002),
    passed_down_per_day=st.floats(0.03, 0.3), nitrogen_loss_share=st.floats(0.1, 0.4),
    ammonia_share_of_tan=st.floats(0.0, 1.0), nitrogen_locked_kg_kg=st.floats(0.0, 0.02),
    dry_floor_moisture=st.floats(0.05, 0.2), evaporation_full_moisture=st.floats(0.3, 0.72),
)  # fmt: skip


@dataclass(frozen=True)
class Day:
    """A day as the tests think of it."""

    dung: Stuff
    dung_kg: float
    bedding: Stuff
    bedding_kg: float
    rain_kg: float
    evaporation_kg: float

    def inputs(self) -> Inputs:
        """The day for `step`."""
        dung = self.dung.kg(self.dung_kg)
        return Inputs(
            added=dung + self.bedding.kg(self.bedding_kg),
            excreted_nitrogen=dung[NITROGEN],
            excreted_tan=dung[TAN],
            locking_bedding_kg=self.bedding_kg,
            rain_kg=self.rain_kg,
            evaporation_kg=self.evaporation_kg,
        )


days = st.builds(
    Day, dungs, st.floats(0.0, 600.0), beddings, st.floats(0.0, 200.0), st.floats(0.0, 100.0), st.floats(0.0, 250.0)
)  # fmt: skip
states = st.builds(
    lambda dung, bedding, a, b, c, d: State(dung.kg(a) + bedding.kg(b), dung.kg(c) + bedding.kg(d)),
    dungs, beddings, st.floats(0.0, 4000.0), st.floats(0.0, 1500.0), st.floats(0.0, 30000.0), st.floats(0.0, 10000.0),
)  # fmt: skip
