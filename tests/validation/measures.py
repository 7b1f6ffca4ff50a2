"""What a trial measured, worked out of a plan: one function for each measure, an array over draws each."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from advisor.plan.make import Plan
from advisor.reasoning.draws import Numbers
from advisor.season.simulate import PackRun

__all__ = ["MEASURES", "measured"]

Value = Numbers | float


def _result(plan: Plan, name: str) -> Value:
    """A result, or any other quantity of the whole farm."""
    value: Value = plan.engine.value(name)
    return value


def _head_days(plan: Plan) -> float:
    return float(sum(heads.sum() for heads in plan.timeline.heads.values()))


def _heads(plan: Plan) -> float:
    return float(sum(heads.max() for heads in plan.timeline.heads.values()))


def _area(plan: Plan) -> Value:
    value: Value = sum(plan.engine.value("each_pen_area_m2"), 0.0)
    return value


def _run(plan: Plan) -> PackRun:
    """The pack; trials have one pen."""
    (run,) = plan.packs.values()
    return run


def _per_t(plan: Plan, name: str, factor: float = 1.0) -> Value:
    return 1000.0 * factor * _result(plan, name) / _result(plan, "pack_end_mass_kg")


def _dry(plan: Plan, name: str) -> Value:
    return 1000.0 * _result(plan, name) / _result(plan, "pack_end_dry_matter_kg")


def _group(plan: Plan, name: str) -> Value:
    value: Value = plan.engine.value(name, ("group", plan.farm.groups[0].id))
    return value


def _mean(rows: Numbers) -> Numbers:
    """Mean over the days after the first ten."""
    mean: Numbers = rows[min(10, len(rows) - 1) :].mean(axis=0)
    return mean


def _laid(plan: Plan) -> Value:
    """Bedding a day, with the spread of the told rate. [kg/day]"""
    factor: Value
    (factor,) = plan.engine.value("each_material_told_rate_factor")
    return _result(plan, "bedding_kg_day") * factor


def _carbon_lost(plan: Plan) -> Value:
    return _run(plan).carbon_lost_kg


#: name -> (what it says, unit, how it is got)
MEASURES: dict[str, tuple[str, str, Callable[[Plan], Value]]] = {
    "nitrogen_lost_share": ("N lost, of N excreted", "", lambda p: _result(p, "nitrogen_lost_share")),
    "nitrogen_left_share": ("N left, of N excreted", "", lambda p: 1.0 - _result(p, "nitrogen_lost_share")),
    "nitrogen_excreted_kg_head": (
        "N excreted", "kg a head", lambda p: _result(p, "nitrogen_excreted_kg") / _heads(p)),
    "nitrogen_excreted_g_head": (
        "N excreted", "g a head", lambda p: 1000 * _result(p, "nitrogen_excreted_kg") / _heads(p)),
    "nitrogen_left_kg_head": (
        "N left in the bed", "kg a head", lambda p: _result(p, "pack_end_nitrogen_kg") / _heads(p)),
    "phosphorus_kg_head": (
        "P excreted", "kg a head", lambda p: _group(p, "phosphorus_head_day") * _head_days(p) / _heads(p)),
    "ammonia_kg": ("ammonia", "", lambda p: _result(p, "ammonia_nitrogen_kg")),
    "ammonia_share_of_excreted": (
        "ammonia N, of N excreted", "",
        lambda p: _result(p, "ammonia_nitrogen_kg") / _result(p, "nitrogen_excreted_kg")),
    "ammonia_g_head_day": (
        "ammonia", "g a head and day",
        lambda p: 1000 * 17 / 14 * _result(p, "ammonia_nitrogen_kg") / _head_days(p)),
    "ammonia_nitrogen_g_head_day": (
        "ammonia N", "g a head and day", lambda p: 1000 * _result(p, "ammonia_nitrogen_kg") / _head_days(p)),
    "ammonia_ppm": ("ammonia in the air", "ppm", lambda p: _result(p, "ammonia_ppm")),
    "excreta_kg_head_day": ("fresh dung and urine", "kg a head and day", lambda p: _group(p, "excreta_head_day")),
    "excreta_dry_kg_head_day": (
        "dry matter of dung and urine", "kg a head and day", lambda p: _group(p, "dry_matter_head_day")),
    "practised_bedding_kg_head_day": (
        "bedding", "kg a head and day", lambda p: _group(p, "least_bedding_head_day")),
    "evaporation_kg_m2_day": (
        "water dried off", "kg/m2 a day",
        lambda p: _result(p, "water_evaporated_kg") / _area(p) / p.timeline.days),
    "carbon_lost_kg_head_day": ("carbon lost", "kg a head and day", lambda p: _carbon_lost(p) / _head_days(p)),
    "mass_kg_head_day": (
        "bedded manure", "kg a head and day", lambda p: _result(p, "pack_end_mass_kg") / _head_days(p)),
    "laid_kg_head_day": (
        "dung, urine and bedding laid down", "kg a head and day",
        lambda p: (_result(p, "excreta_on_bed_kg_day") + _laid(p)) / _heads(p)),
    "depth_m": ("depth", "m", lambda p: _result(p, "pack_end_depth_m")),
    "rise_mm_day": ("rise", "mm a day", lambda p: _result(p, "pack_rise_mm_day")),
    "density_kg_m3": ("density", "kg/m3", lambda p: _result(p, "pack_end_density_kg_m3")),
    "dug_density_kg_m3": (
        "density, dug out", "kg/m3", lambda p: _result(p, "pack_end_mass_kg") / _result(p, "dug_out_volume_m3")),
    "moisture": ("moisture", "", lambda p: _result(p, "pack_end_moisture")),
    "moisture_mean": ("moisture, mean of the season", "", lambda p: _mean(_run(p).whole_moisture)),
    "top_moisture_mean": ("moisture of the top, mean", "", lambda p: _mean(_run(p).top_moisture)),
    "dry_matter": ("dry matter", "", lambda p: 1.0 - _result(p, "pack_end_moisture")),
    "c_to_n": ("C:N", "", lambda p: _result(p, "pack_end_c_to_n")),
    "c_to_n_mean": ("C:N, mean of the season", "", lambda p: _mean(_run(p).c_to_n)),
    "carbon_kg_t": ("C", "kg/t", lambda p: _per_t(p, "pack_end_carbon_kg")),
    "nitrogen_kg_t": ("N", "kg/t", lambda p: _per_t(p, "pack_end_nitrogen_kg")),
    "phosphate_kg_t": ("P2O5", "kg/t", lambda p: _per_t(p, "pack_end_phosphorus_kg", 2.2914)),
    "potash_kg_t": ("K2O", "kg/t", lambda p: _per_t(p, "pack_end_potassium_kg", 1.2046)),
    "nitrogen_g_kg_dry": ("N", "g/kg dry", lambda p: _dry(p, "pack_end_nitrogen_kg")),
    "phosphorus_g_kg_dry": ("P", "g/kg dry", lambda p: _dry(p, "pack_end_phosphorus_kg")),
    "potassium_g_kg_dry": ("K", "g/kg dry", lambda p: _dry(p, "pack_end_potassium_kg")),
    "potassium_to_phosphorus": (
        "K:P", "", lambda p: _result(p, "pack_end_potassium_kg") / _result(p, "pack_end_phosphorus_kg")),
    "nitrogen_to_phosphorus": (
        "N:P", "", lambda p: _result(p, "pack_end_nitrogen_kg") / _result(p, "pack_end_phosphorus_kg")),
}  # fmt: skip


def measured(plan: Plan, name: str) -> Numbers:
    """A measure as an array over draws (one entry where nothing is uncertain)."""
    return np.atleast_1d(np.asarray(MEASURES[name][2](plan), dtype=float))
