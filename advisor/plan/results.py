"""The results of a plan: which quantities are reported, worked out for one farm."""

from __future__ import annotations

import advisor.science.bedding
import advisor.science.excreta
import advisor.science.outcome
import advisor.science.space
import advisor.science.supply
import advisor.season.bed
import advisor.season.pack  # noqa: F401  importing a module registers its derivations

__all__ = ["FARM_RESULTS", "GROUP_RESULTS"]

FARM_RESULTS: tuple[str, ...] = (
    "excreta_on_bed_kg_day", "nitrogen_on_bed_kg_day", "bedding_total_kg", "bedding_kg_day", "base_mass_kg",
    "top_moisture_worst", "pack_end_mass_kg", "pack_end_volume_m3", "pack_end_depth_m", "pack_rise_mm_day",
    "pack_end_density_kg_m3", "pack_end_moisture", "pack_end_c_to_n", "pack_end_nitrogen_kg",
    "pack_end_phosphorus_kg", "pack_end_potassium_kg", "pack_end_nitrogen_kg_t", "nitrogen_excreted_kg",
    "nitrogen_lost_share", "ammonia_nitrogen_kg", "carbon_lost_share", "water_evaporated_kg", "free_liquid_kg",
    "ammonia_ppm",
)  # fmt: skip

GROUP_RESULTS: tuple[str, ...] = ("space_m2_head", "bedding_kg_head_day")
