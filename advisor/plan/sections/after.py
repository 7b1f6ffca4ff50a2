"""Air, grain and turning, composting, and the land it feeds."""

from __future__ import annotations

from advisor.farm.facts import own_rules
from advisor.knowledge import Figure
from advisor.plan.document import Block, Paragraph, Points, Section
from advisor.plan.voice import Voice
from advisor.plan.wording import say_range
from advisor.reasoning.engine import Missing

__all__ = ["air_section", "heap_section", "land_section", "turning_section"]


def _figure(voice: Voice, name: str) -> str:
    """A figure of the knowledge base with its range."""
    try:
        return voice.ranged(voice.plan.engine.node(name))
    except Missing:
        return "?"


def air_section(voice: Voice) -> Section:
    """Least air, expected ammonia, and the rule never to shut it out."""
    blocks: list[Block] = []
    if voice.plan.results["air_least_m3_h"] is not None:
        blocks.append(Paragraph(voice.text("air_open", air=voice.result("air_least_m3_h")), "lead"))
    ammonia = voice.plan.results["ammonia_ppm"]
    if ammonia is not None:
        middle = ammonia.spread()[1]
        aim, act = (voice.plan.engine.value(n) for n in ("ammonia_aim_ppm", "ammonia_act_ppm"))
        low, high = (float(v[0]) if hasattr(v, "__len__") else float(v) for v in (aim, act))
        band = "air_band_low" if middle < low else "air_band_mid" if middle < high else "air_band_high"
        blocks.append(Paragraph(voice.text("air_ammonia", ppm=voice.ranged(ammonia), band=voice.text(band))))
    blocks.append(Paragraph(voice.text("air_reason"), "reason"))
    return Section("air", voice.text("air_title"), tuple(blocks))


def turning_section(voice: Voice) -> Section:
    """Pigs and grain where they are wanted and safe; always a road without pigs."""
    plan = voice.plan
    blocks: list[Block] = []
    if plan.facts.get("turned_by") == "pigs":
        blocks.append(
            Paragraph(
                voice.text(
                    "turning_pigs",
                    pigs=voice.result("pigs"),
                    days=voice.result("pig_turning_time"),
                    best=_figure(voice, "pig_best_weight"),
                ),
                "lead",
            )
        )
        named, needed = plan.results["named_pigs_days"], plan.results["pig_turning_time"]
        if named is not None and needed is not None and named.spread()[1] > needed.spread()[2]:
            told = voice.number(float(plan.engine.value("turning_pigs")), "head").removesuffix(" head")
            blocks.append(Paragraph(voice.text("turning_pigs_few", told=told, days=voice.ranged(named))))
        if plan.results["grain_kg"] is not None:
            blocks.append(
                Paragraph(
                    voice.text(
                        "turning_grain", grain=voice.result("grain_kg"), square=voice.result("grain_kg_m2")
                    )
                )
            )
            blocks.append(Paragraph(voice.text("turning_grain_bait", feeds=voice.result("grain_feeds_days"))))
        elif not plan.engine.value("grain_is_safe"):
            blocks.append(Paragraph(voice.text("turning_grain_not")))
        blocks.append(Paragraph(voice.text("turning_pigs_first")))
    blocks.append(
        Paragraph(
            voice.text(
                "turning_without",
                tractor=voice.result("tractor_hours"),
                fork=voice.result("fork_hours"),
                hens=_figure(voice, "hen_scratch_depth"),
            )
        )
    )
    blocks.append(Paragraph(voice.text("turning_first"), "reason"))
    return Section("turning", voice.text("turning_title"), tuple(blocks))


def heap_section(voice: Voice) -> Section:
    """The heap: size, mix, water, heat, time and what is left."""
    plan = voice.plan
    blocks: list[Block] = [
        Paragraph(
            voice.text("heap_what", volume=voice.result("dug_out_volume_m3"), width=_figure(voice, "heap_width"),
                       height=_figure(voice, "heap_height_most"), length=voice.result("windrow_length_m")), "lead"),
        Paragraph(voice.text("heap_ratio", ratio=voice.result("heap_c_to_n"), moisture=voice.result("heap_moisture"))),
    ]  # fmt: skip
    water, air = plan.results["heap_water_kg"], plan.results["heap_free_air_space"]
    moisture = plan.results["heap_moisture"]
    if water is not None and water.spread()[1] > 0:
        blocks.append(Paragraph(voice.text("heap_water", water=voice.ranged(water))))
    elif (
        moisture is not None
        and air is not None
        and moisture.spread()[1] > _middle(voice, "heap_moisture_high")
    ):
        open_enough = air.spread()[1] >= _middle(voice, "heap_free_air_space_least")
        blocks.append(
            Paragraph(voice.text("heap_wet" if open_enough else "heap_wet_dense", air=voice.ranged(air)))
        )
    straw = plan.results["heap_straw_kg"]
    if straw is not None and straw.spread()[1] > 0:
        blocks.append(Paragraph(voice.text("heap_straw", straw=voice.ranged(straw)), "reason"))
    blocks.append(
        Points(
            (
                voice.text("heap_when", days=voice.result("compost_ready_days")),
                voice.text("heap_log"),
                voice.text("heap_fire", fire=_figure(voice, "heap_fire_temperature")),
            )
        )
    )
    blocks.append(
        Paragraph(
            voice.text(
                "heap_left",
                mass=voice.result("compost_mass_kg"),
                volume=voice.result("compost_volume_m3"),
                nitrogen=voice.result("compost_nitrogen_kg"),
                phosphate=voice.result("compost_phosphate_kg"),
                potash=voice.result("compost_potash_kg"),
            )
        )
    )
    return Section("heap", voice.text("heap_title"), tuple(blocks))


def _middle(voice: Voice, name: str) -> float:
    return voice.plan.engine.node(name).spread()[1]


def land_section(voice: Voice) -> Section:
    """How much land it feeds, by law and by crop kept apart, and how long to wait."""
    plan = voice.plan
    blocks: list[Block] = [
        Paragraph(
            voice.text("land_area", area=voice.result("land_area_ha"), limit=_figure(voice, "nitrogen_limit_kg_ha"),
                       rate=voice.result("rate_by_nitrogen_t_ha")), "lead"),
        Paragraph(voice.text("land_year1", available=voice.result("available_nitrogen_year1_kg"))),
    ]  # fmt: skip
    potash = plan.results["potash_at_rate_kg_ha"]
    if potash is not None and potash.spread()[1] > _middle(voice, "potash_caution_rate") * 10000.0:
        blocks.append(Paragraph(voice.text("land_potash", potash=voice.ranged(potash))))
    if plan.facts.get("compost_for") in ("garden", "vegetables"):
        blocks.append(Paragraph(voice.text("land_garden", garden=voice.result("garden_area_m2"))))
        blocks.append(Paragraph(voice.text("land_test")))
    value = plan.results["fertiliser_value"]
    if value is not None:
        blocks.append(Paragraph(voice.text("land_value", value=voice.money(value.spread()[1]))))
    touching, clear = (
        _wait(voice, name) for name in ("raw_manure_days_touching", "raw_manure_days_not_touching")
    )
    if touching and clear:
        blocks.append(Paragraph(voice.text("land_wait", touching=touching, clear=clear)))
    blocks.append(Paragraph(voice.text("land_legal"), "reason"))
    return Section("land", voice.text("land_title"), tuple(blocks))


def _wait(voice: Voice, limit: str) -> str:
    """The wait by the region's rules; the longest held anywhere where the region holds none or is not known."""
    region = voice.plan.farm.region
    own = [r.limits[limit].figure for r in own_rules(region, voice.knowledge) if limit in r.limits]
    if region not in (None, "generic") and own:
        return _days(voice, own[0])
    every = [r.limits[limit].figure for r in voice.knowledge.regions.values() if limit in r.limits]
    return _days(voice, max(every, key=lambda figure: figure.value)) if every else ""


def _days(voice: Voice, figure: Figure) -> str:
    return say_range(figure.low, figure.value, figure.high, figure.unit, voice.units).split(";")[0]
