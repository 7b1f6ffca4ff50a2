"""Air, grain and turning, composting, and the land it feeds."""

from __future__ import annotations

from advisor.farm.facts import own_rules
from advisor.knowledge import Figure
from advisor.plan.document import Block, Paragraph, Points, Section
from advisor.plan.voice import Voice
from advisor.plan.wording import say
from advisor.reasoning.draws import typical
from advisor.reasoning.engine import Missing

__all__ = ["air_section", "heap_section", "land_section", "turning_section"]

_LEAST_TRACTOR_H = 0.25
_LEAST_PPM = 0.1
_LONGEST_DAYS = 300.0  # beyond this many days pigs would still be at it when the next winter comes


def _figure(voice: Voice, name: str) -> str:
    """A figure of the knowledge base with its range, as it is held."""
    try:
        return voice.figure(voice.plan.engine.node(name))
    except Missing:
        return "?"


def air_section(voice: Voice) -> Section:
    """Least air, expected ammonia, and the rule never to shut it out."""
    blocks: list[Block] = []
    plan = voice.plan
    if all(plan.engine.value("roof", ("pen", pen.id)) == "open" for pen in plan.farm.pens):
        blocks.append(Paragraph(voice.text("air_outdoors"), "lead"))
        return Section("air", voice.text("air_title"), tuple(blocks))
    if voice.plan.results["air_least_m3_h"] is not None:
        blocks.append(Paragraph(voice.text("air_open", air=voice.result("air_least_m3_h")), "lead"))
    ammonia = voice.plan.results["ammonia_ppm"]
    if ammonia is not None:
        middle = ammonia.spread()[1]
        aim, act = (voice.plan.engine.value(n) for n in ("ammonia_aim_ppm", "ammonia_act_ppm"))
        low, high = (float(v[0]) if hasattr(v, "__len__") else float(v) for v in (aim, act))
        band = "air_band_low" if middle < low else "air_band_mid" if middle < high else "air_band_high"
        blocks.append(
            Paragraph(
                voice.text("air_ammonia", ppm=voice.ranged(ammonia), band=voice.text(band))
                if middle >= _LEAST_PPM
                else voice.text("air_ammonia_none")
            )
        )
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
                    pigs=_bare(voice.result("pigs")),
                    days=voice.result("pig_turning_time"),
                    best=_figure(voice, "pig_best_weight").replace(" a head", ""),
                ),
                "lead",
            )
        )
        named, needed = plan.results["named_pigs_days"], plan.results["pig_turning_time"]
        if named is not None and needed is not None and named.spread()[1] > needed.spread()[2]:
            told = _bare(voice.number(typical(plan.engine.value("turning_pigs")), "head"))
            sentence = "turning_pigs_few" if named.spread()[1] < _LONGEST_DAYS else "turning_pigs_too_few"
            blocks.append(Paragraph(voice.text(sentence, told=told, days=voice.ranged(named))))
        if plan.results["grain_kg"] is not None:
            blocks.append(
                Paragraph(
                    voice.text(
                        "turning_grain",
                        grain=voice.result("grain_kg"),
                        square=voice.result("grain_kg_m2"),
                        keeps=_figure(voice, "grain_keeps_days"),
                    )
                )
            )
            blocks.append(Paragraph(voice.text("turning_grain_bait", feeds=voice.result("grain_feeds_days"))))
        elif not plan.engine.value("grain_is_safe"):
            blocks.append(Paragraph(voice.text("turning_grain_not")))
        blocks.append(Paragraph(voice.text("turning_pigs_first")))
    tractor = plan.results["tractor_hours"]
    small = tractor is not None and tractor.spread()[1] < _LEAST_TRACTOR_H
    blocks.append(
        Paragraph(
            voice.text(
                "turning_without_small" if small else "turning_without",
                tractor=voice.result("tractor_hours"),
                fork=voice.result("fork_hours"),
                hens=_figure(voice, "hen_scratch_depth"),
            )
        )
    )
    blocks.append(Paragraph(voice.text("turning_first")))
    return Section("turning", voice.text("turning_title"), tuple(blocks))


def heap_section(voice: Voice) -> Section:
    """The heap: size, mix, water, heat, time and what is left."""
    plan = voice.plan
    water, air = plan.results["heap_water_kg"], plan.results["heap_free_air_space"]
    moisture = plan.results["heap_moisture"]
    dry = water is not None and water.spread()[1] > 0
    blocks: list[Block] = [
        Paragraph(_heap_shape(voice), "lead"),
        Paragraph(
            voice.text(
                "heap_ratio_wetted" if dry else "heap_ratio",
                ratio=voice.result("heap_c_to_n"),
                moisture=voice.ranged(moisture),
                water=voice.ranged(water),
            )
        ),
    ]
    if (
        not dry
        and moisture is not None
        and air is not None
        and moisture.spread()[1] > _middle(voice, "heap_moisture_high")
    ):
        open_enough = air.spread()[1] >= _middle(voice, "heap_free_air_space_least")
        sour = moisture.spread()[1] > _middle(voice, "heap_moisture_strawy_high")
        sentence = "heap_wet_sour" if sour else "heap_wet" if open_enough else "heap_wet_dense"
        blocks.append(Paragraph(voice.text(sentence, air=voice.ranged(air))))
    straw, ratio = plan.results["heap_straw_kg"], plan.results["heap_c_to_n"]
    if straw is not None and ratio is not None and straw.spread()[1] > 0:
        poor = ratio.spread()[1] < _middle(voice, "acceptable_c_to_n_low")
        name = "heap_straw_poor" if poor else "heap_straw"
        blocks.append(Paragraph(voice.text(name, straw=voice.ranged(straw))))
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


def _heap_shape(voice: Voice) -> str:
    """A row, or one pile where the pack is less than a row would be wide; joined where it is too small to heat."""
    volume, side = voice.result("dug_out_volume_m3"), voice.plan.results["heap_side_m"]
    length = voice.plan.results["windrow_length_m"]
    if side is not None and length is not None and length.spread()[1] < _middle(voice, "heap_width"):
        tiny = side.spread()[1] < _middle(voice, "heap_least_side")
        return voice.text(
            "heap_what_tiny" if tiny else "heap_what_small",
            volume=volume,
            side=voice.ranged(side),
            least=_figure(voice, "heap_least_side"),
        )
    return voice.text(
        "heap_what",
        volume=volume,
        width=_figure(voice, "heap_width"),
        height=_figure(voice, "heap_height_most"),
        length=voice.ranged(length),
    )


def _bare(heads: str) -> str:
    """A number of animals without the word 'head': the sentence names them."""
    return heads.replace(" head", "")


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
    over = potash is not None and potash.spread()[1] > _middle(voice, "potash_caution_rate") * 10000.0
    if potash is not None and over and plan.facts.get("compost_for") == "grass":
        blocks.append(Paragraph(voice.text("land_potash", potash=voice.ranged(potash))))
    if plan.facts.get("compost_for") in ("garden", "vegetables"):
        blocks.append(Paragraph(voice.text("land_garden", garden=voice.result("garden_area_m2"))))
        blocks.append(Paragraph(voice.text("land_test")))
    value = plan.results["fertiliser_value"]
    if value is not None:
        blocks.append(Paragraph(voice.text("land_value", value=voice.money(value.spread()[1]))))
    if plan.facts.get("compost_for") != "grass" or "compost_for" in plan.assumed_facts:
        blocks.append(Paragraph(_wait(voice)))
    blocks.append(Paragraph(voice.text("land_legal")))
    return Section("land", voice.text("land_title"), tuple(blocks))


def _wait(voice: Voice) -> str:
    """The wait by the region's own rules; the longest held anywhere where it holds none or is not known."""
    touching, clear = "raw_manure_days_touching", "raw_manure_days_not_touching"
    region = voice.plan.farm.region
    for own in own_rules(region, voice.knowledge):
        if own is not voice.knowledge.regions["generic"] and {touching, clear} <= own.limits.keys():
            waits = {"touching": own.limits[touching].figure, "clear": own.limits[clear].figure}
            told = {name: _days(voice, figure) for name, figure in waits.items()}
            same = told["touching"] == told["clear"]
            return voice.text("land_wait_same" if same else "land_wait", region=own.name, **told)
    every = [r.limits[touching].figure for r in voice.knowledge.regions.values() if touching in r.limits]
    strictest = max(every, key=lambda figure: figure.value)
    return voice.text("land_wait_strictest", touching=_days(voice, strictest))


def _days(voice: Voice, figure: Figure) -> str:
    return say(figure.value, figure.unit, voice.units)
