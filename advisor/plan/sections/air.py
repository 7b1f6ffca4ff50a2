"""Air: how much, through what openings, and the ammonia to expect."""

from __future__ import annotations

from advisor.plan.document import Block, Paragraph, Section
from advisor.plan.voice import Voice

__all__ = ["air_section"]

_LEAST_PPM = 0.1


def air_section(voice: Voice) -> Section:
    """Least air, expected ammonia, and the rule never to shut it out."""
    blocks: list[Block] = []
    plan = voice.plan
    if all(plan.engine.value("roof", ("pen", pen.id)) == "open" for pen in plan.farm.pens):
        blocks.append(Paragraph(voice.text("air_outdoors"), "lead"))
        return Section("air", voice.text("air_title"), tuple(blocks))
    if voice.plan.results["air_least_m3_h"] is not None:
        blocks.append(Paragraph(voice.text("air_open", air=voice.result("air_least_m3_h")), "lead"))
    if voice.plan.results["outlet_area_m2"] is not None:
        openings = {"outlet": voice.result("outlet_area_m2"), "inlet": voice.result("inlet_area_m2")}
        blocks.append(Paragraph(voice.text("air_openings", **openings)))
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
