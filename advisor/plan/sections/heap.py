"""Composting: the recipe, the size and shape, what heat the rules ask, and what is left."""

from __future__ import annotations

from advisor.plan.document import Block, Paragraph, Points, Section
from advisor.plan.sections.dates import after_turnout
from advisor.plan.sections.local import local_rules
from advisor.plan.voice import Voice
from advisor.plan.wording import say_date, say_range
from advisor.reasoning.draws import spread

__all__ = ["heap_section"]


def heap_section(voice: Voice) -> Section:
    """The heap: size, mix, water, heat, time and what is left."""
    plan = voice.plan
    water, air = plan.results["heap_water_kg"], plan.results["heap_free_air_space"]
    moisture = plan.results["heap_moisture"]
    dry = water is not None and water.spread()[1] > 0
    blocks: list[Block] = [Paragraph(_heap_shape(voice), "lead"), *_mixed_in(voice)]
    words = {"ratio": voice.result("heap_c_to_n"), "moisture": voice.ranged(moisture)}
    if dry:
        blocks.append(Paragraph(voice.text("heap_ratio_wetted", water=voice.ranged(water), **words)))
    else:
        start = (voice.text("heap_ratio", **words), voice.text("heap_water_none"))
        blocks.append(Paragraph(" ".join(start)))
    if (
        not dry
        and moisture is not None
        and air is not None
        and moisture.spread()[1] > voice.middle("heap_moisture_high")
    ):
        open_enough = air.spread()[1] >= voice.middle("heap_free_air_space_least")
        sour = moisture.spread()[1] > voice.middle("heap_moisture_strawy_high")
        sentence = "heap_wet_sour" if sour else "heap_wet" if open_enough else "heap_wet_dense"
        blocks.append(Paragraph(voice.text(sentence, air=voice.ranged(air))))
    straw, ratio = plan.results["heap_straw_kg"], plan.results["heap_c_to_n"]
    if straw is not None and ratio is not None and straw.spread()[1] > 0:
        poor = ratio.spread()[1] < voice.middle("acceptable_c_to_n_low")
        more = "heap_straw_more" if plan.number("heap_added_kg") else "heap_straw"
        name = "heap_straw_poor" if poor else more
        blocks.append(Paragraph(voice.text(name, straw=voice.ranged(straw))))
    blocks.append(
        Points(
            (
                _when(voice),
                voice.text("heap_log"),
                voice.text("heap_fire", fire=voice.held("heap_fire_temperature")),
            )
        )
    )
    rules = [line for matter in ("compost_process", "field_heap") for line in local_rules(voice, matter)]
    if rules:
        blocks += [Paragraph(voice.text("heap_rules"), "lead"), Points(tuple(rules))]
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
            + " "
            + voice.text("heap_shrinks", shrink=voice.held("heap_volume_loss"))
        )
    )
    return Section("heap", voice.text("heap_title"), tuple(blocks))


def _mixed_in(voice: Voice) -> list[Block]:
    """What of the left-over materials goes into the heap, and how much of each is likely left."""
    recipe = voice.plan.engine.value("heap_recipe")
    if not recipe.add_kg:
        name = "heap_add_none_left" if recipe.missed else "heap_add_nothing"
        return [Paragraph(voice.text(name))]
    left = voice.plan.engine.value("left_over_kg")
    lines = []
    for key, kg in recipe.add_kg.items():
        likely = voice.bracketed(say_range(*spread(left[key]), "kg", voice.units)).removeprefix("about ")
        words = {"mass": voice.number(kg, "kg"), "material": voice.material(key)}
        lines.append(voice.text("heap_add_line", packs=voice.in_packs(key, kg), left=likely, **words))
    return [Paragraph(voice.text("heap_add")), Points(tuple(lines))]


def _when(voice: Voice) -> str:
    """How long it takes, and the date where the season has dates."""
    after = after_turnout(voice.plan)
    text = voice.text("heap_when", days=voice.result("compost_ready_days"))
    if after is None or after.ready is None:
        return text
    dates = {"heap": say_date(after.heap, voice.units), "date": say_date(after.ready, voice.units)}
    return f"{text} {voice.text('heap_ready', **dates)}"


def _heap_shape(voice: Voice) -> str:
    """A row, or one pile where the pack is less than a row would be wide; joined where it is too small to heat."""
    volume, side = voice.result("dug_out_volume_m3"), voice.plan.results["heap_side_m"]
    length = voice.plan.results["windrow_length_m"]
    if side is not None and length is not None and length.spread()[1] < voice.middle("heap_width"):
        tiny = side.spread()[1] < voice.middle("heap_least_side")
        return voice.text(
            "heap_what_tiny" if tiny else "heap_what_small",
            volume=volume,
            side=voice.ranged(side),
            least=voice.held("heap_least_side"),
        )
    return voice.text(
        "heap_what",
        volume=volume,
        width=voice.held("heap_width"),
        height=voice.held("heap_height_most"),
        length=voice.ranged(length),
    )
