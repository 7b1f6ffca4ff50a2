"""The results of a plan: which quantities are reported, worked out for one farm."""

from __future__ import annotations

import advisor.science.air
import advisor.science.bedding
import advisor.science.excreta
import advisor.science.heap
import advisor.science.height
import advisor.science.land
import advisor.science.money
import advisor.science.outcome
import advisor.science.space
import advisor.science.supply
import advisor.science.turning
import advisor.season.bed
import advisor.season.pack
import advisor.season.weather  # noqa: F401  importing a module registers its derivations

__all__ = ["FARM_RESULTS", "GROUP_RESULTS", "HEADLINES", "PEN_RESULTS"]

FARM_RESULTS: tuple[str, ...] = (
    "excreta_on_bed_kg_day", "nitrogen_on_bed_kg_day", "bedding_total_kg", "bedding_kg_day", "base_mass_kg",
    "top_moisture_worst", "pack_end_mass_kg", "pack_end_volume_m3", "pack_end_depth_m", "pack_rise_mm_day",
    "pack_end_density_kg_m3", "pack_end_moisture", "pack_end_c_to_n", "pack_end_nitrogen_kg",
    "pack_end_phosphorus_kg", "pack_end_potassium_kg", "pack_end_nitrogen_kg_t", "nitrogen_excreted_kg",
    "nitrogen_lost_share", "ammonia_nitrogen_kg", "carbon_lost_share", "water_evaporated_kg", "free_liquid_kg",
    "ammonia_ppm", "grain_kg", "pigs", "pig_days", "heap_water_kg", "heap_c_to_n", "heap_moisture",
    "compost_mass_kg", "compost_volume_m3", "compost_nitrogen_kg", "available_nitrogen_year1_kg", "land_area_ha",
    "space_ratio", "space_law_ratio", "supply_on_hand_kg", "supply_ratio", "supply_lasts_days", "bedding_to_buy_kg",
    "bedding_hours_week", "purchase_cost", "air_least_m3_h", "air_for_moisture_m3_h",
    "outlet_area_m2", "inlet_area_m2", "ridge_slot_m", "grain_kg_m2", "pig_turning_time",
    "grain_feeds_days", "named_pigs_days",
    "fork_hours", "tractor_hours", "dug_out_volume_m3", "heap_free_air_space", "heap_straw_kg", "compost_ready_days",
    "windrow_length_m", "heap_side_m", "compost_phosphate_kg", "compost_potash_kg", "rate_by_nitrogen_t_ha",
    "potash_at_rate_kg_ha", "phosphate_at_rate_kg_ha", "garden_area_m2", "top_moisture_limit", "head_count",
    "season_cost", "season_cost_head", "fertiliser_value", "grain_cost", "tractor_cost", "fork_cost",
    "heap_added_kg", "organic_nitrogen_year1_kg", "organic_nitrogen_year2_kg", "organic_nitrogen_year3_kg",
    "available_phosphate_year1_kg", "available_phosphate_year2_kg", "available_phosphate_year3_kg",
    "available_potash_year1_kg", "crop_need_nitrogen_kg_ha", "crop_need_phosphate_kg_ha", "crop_need_potash_kg_ha",
    "rate_by_crop_nitrogen_t_ha", "rate_by_crop_phosphate_t_ha", "rate_by_crop_potash_t_ha", "crop_rate_t_ha",
    "crop_land_area_ha",
)  # fmt: skip

PEN_RESULTS: tuple[str, ...] = (
    "area_m2", "space_needed_m2", "pen_space_ratio", "pen_law_ratio", "pen_end_depth_m", "pen_top_moisture_worst",
    "pen_bedding_kg_day", "base_kg", "pen_gate_margin_m", "pen_headroom_left_m", "drinker_reached_day",
    "gate_reached_day", "headroom_reached_day",
    "laid_base_depth_m", "pen_lowest_depth_m", "pen_rise_m_week",
)  # fmt: skip

#: the numbers a plan turns on: what matters most is shown for these, and they choose the next question
HEADLINES: tuple[str, ...] = (
    "bedding_total_kg", "space_ratio", "top_moisture_worst", "pack_end_c_to_n", "pack_end_depth_m", "supply_ratio",
    "pack_end_nitrogen_kg",
)  # fmt: skip

GROUP_RESULTS: tuple[str, ...] = (
    "space_m2_head", "bedding_kg_head_day", "litter_space_m2_head", "legal_space_m2_head",
    "group_excreta_on_bed_kg_day",
)  # fmt: skip
