"""How well each draw explains what was read: log likelihoods, reading by reading.

A draw's winter is run with the recorded bedding; a reading is then as likely as its distance from that winter,
measured by the reading's own error. Dirt scores and bed temperatures are kept out: the model does not
predict them, they only open or close advice.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from advisor.farm.model import Farm, Measure
from advisor.knowledge import Knowledge
from advisor.reasoning.draws import Numbers, typical
from advisor.reasoning.engine import FARM, Engine
from advisor.record.entries import Ammonia, Depth, Entry, Lab, Moisture, Record, Squeeze, Weighed
from advisor.record.ready import supply_of
from advisor.season.simulate import PackRun
from advisor.season.step import PHOSPHORUS, POTASSIUM
from advisor.season.timeline import Timeline

__all__ = ["Reading", "readings"]

_NOSE = ("ammonia_nose_none", "ammonia_nose_faint", "ammonia_nose_clear", "ammonia_nose_stings")
_WEEK = 7
_Z90 = 1.2816  # standard deviations from the median to the 90th percentile of a normal distribution


@dataclass(frozen=True)
class Reading:
    """A reading beside what each draw says it should have been; the typical draw first."""

    entry: Entry
    what: str
    value: float
    expected: Numbers
    error: float
    log_likelihood: Numbers
    unit: str

    def distance(self, seen: Numbers) -> float:
        """How many standard deviations the reading lies from what draws expect of it."""
        return float((self.value - seen.mean()) / math.hypot(float(seen.std()), self.error))


def readings(
    record: Record, engine: Engine, farm: Farm, knowledge: Knowledge, runs: Mapping[str, PackRun]
) -> list[Reading]:
    """Every reading that says something about the draws."""
    season: Timeline = engine.value("timeline")
    out: list[Reading] = []
    for entry in record:
        day = (entry.date - season.start).days
        if isinstance(entry, Weighed):
            out += _weighed(entry, engine, farm, knowledge)
            continue
        pen = entry.pen or farm.pens[0].id
        if pen not in runs or not 0 <= day < runs[pen].depth_m.shape[0]:
            continue
        run = runs[pen]
        if isinstance(entry, Depth):
            error = _error(entry.depth, _figure(engine, "depth_reading_error", pen))
            out.append(_normal(entry, "depth", entry.depth.value, run.depth_m[day], error, "m"))
        elif isinstance(entry, Moisture):
            error = _error(entry.moisture, _figure(engine, "moisture_reading_error", pen))
            series = run.top_moisture if entry.of == "top" else run.whole_moisture
            out.append(_normal(entry, "moisture", entry.moisture.value, series[day], error, "fraction"))
        elif isinstance(entry, Squeeze):
            out.append(_squeezed(entry, engine, pen, run.top_moisture[day]))
        elif isinstance(entry, Ammonia):
            found = _smelled(entry, engine, runs, season, day)
            out += [found] if found else []
        elif isinstance(entry, Lab) and entry.of == "pack":
            out += _analysed(entry, engine, pen, run, day)
    return out


def _figure(engine: Engine, name: str, pen: str = "") -> float:
    return typical(engine.value(name, ("pen", pen) if pen else FARM))


def _error(measure: Measure, usual: float) -> float:
    """The usual error, widened where the keeper told a range."""
    return math.hypot(usual, (measure.high - measure.low) / (2.0 * _Z90))


def _normal(entry: Entry, what: str, value: float, expected: Numbers, error: float, unit: str) -> Reading:
    log_likelihood = -0.5 * np.square((value - expected) / error)
    return Reading(entry, what, value, expected, error, log_likelihood, unit)


def _squeezed(entry: Squeeze, engine: Engine, pen: str, top: Numbers) -> Reading:
    """Crumbles below one moisture, drips above another, holds between.

    The edges are blurred, and some handfuls mislead.
    """
    dry, wet = _figure(engine, "squeeze_crumbles_below", pen), _figure(engine, "squeeze_drips_above", pen)
    scale = _figure(engine, "squeeze_reading_error", pen)
    crumbles = 1.0 / (1.0 + np.exp(np.clip((top - dry) / scale, -50.0, 50.0)))
    drips = 1.0 / (1.0 + np.exp(np.clip((wet - top) / scale, -50.0, 50.0)))
    chance = {"crumbles": crumbles, "drips": drips, "holds": (1.0 - crumbles) * (1.0 - drips)}[entry.result]
    slip = _figure(engine, "squeeze_slip", pen)
    chance = (1.0 - slip) * chance + slip / 3.0
    middle = {"crumbles": min(dry, float(top.mean())), "drips": max(wet, float(top.mean()))}
    value = middle.get(entry.result, float(np.clip(top.mean(), dry, wet)))
    return Reading(entry, "squeeze", value, top, 2.0 * scale, np.log(np.maximum(chance, 1e-9)), "fraction")


def _smelled(
    entry: Ammonia, engine: Engine, runs: Mapping[str, PackRun], season: Timeline, day: int
) -> Reading | None:
    """Ammonia against what the beds gave off in the week before, on a logarithmic scale."""
    week = slice(max(1, day - _WEEK + 1), day + 1)
    if day < 1:
        return None
    given_off = sum((run.ammonia_kg[week].mean(axis=0) for run in runs.values()), np.zeros(1))
    at_that_rate = Engine(
        engine.knowledge, engine.topology, engine.told, engine.derivations, engine.draws,
        {**engine.given, "ammonia_nitrogen_kg": given_off * season.days},
    )  # fmt: skip
    expected = np.log(np.maximum(np.atleast_1d(at_that_rate.value("ammonia_ppm")), 0.1))
    if entry.nose is not None:
        value, error = _figure(engine, _NOSE[entry.nose]), _figure(engine, "ammonia_nose_error")
    else:
        value, error = float(entry.ppm or 0.0), _figure(engine, "ammonia_reading_error")
    return _normal(entry, "ammonia", math.log(max(value, 0.5)), expected, error, "log ppm")


def _analysed(entry: Lab, engine: Engine, pen: str, run: PackRun, day: int) -> list[Reading]:
    out: list[Reading] = []
    if entry.moisture is not None:
        error = _error(entry.moisture, _figure(engine, "lab_dry_matter_error", pen))
        out.append(
            _normal(entry, "moisture", entry.moisture.value, run.whole_moisture[day], error, "fraction")
        )
    share = _figure(engine, "lab_nutrient_error", pen)
    mass = np.maximum(run.mass_kg[day], 1e-9)
    told: list[tuple[str, Measure | None, Numbers]] = [
        ("nitrogen", entry.nitrogen, 1000.0 * run.nitrogen_kg[day] / mass),
        ("c_to_n", entry.c_to_n, run.c_to_n[day]),
    ]
    if run.states and day < len(run.states):
        whole = run.states[day].whole
        told += [
            ("phosphorus", entry.phosphorus, 1000.0 * whole[PHOSPHORUS] / mass),
            ("potassium", entry.potassium, 1000.0 * whole[POTASSIUM] / mass),
        ]
    for what, measure, expected in told:
        if measure is not None and measure.value > 0:
            error = _error(measure, share * measure.value)
            out.append(
                _normal(
                    entry, what, measure.value, expected, error, "fraction" if what == "c_to_n" else "kg/t"
                )
            )
    return out


def _weighed(entry: Weighed, engine: Engine, farm: Farm, knowledge: Knowledge) -> list[Reading]:
    """A bale on the scales against the mean bale of each draw."""
    place = supply_of(entry.material, farm, knowledge)
    if place is None:
        return []
    key = engine.value("supplies")[place].key
    mean = np.atleast_1d(np.asarray(engine.value("bale_mass_kg", ("material", key)), dtype=float))
    supply = farm.materials[place]
    if mean.size < 2 or (entry.pack is not None and entry.pack != supply.pack):
        return []
    error = _error(entry.mass, _figure(engine, "bale_weighing_error") * entry.mass.value)
    return [_normal(entry, "weight", entry.mass.value, mean, error, "kg")]
