"""What the crop can use of the compost: an agronomic sum, kept apart from the legal one."""

from __future__ import annotations

from advisor.farm.crops import crop_of
from advisor.plan.document import Block, Paragraph
from advisor.plan.voice import Voice

__all__ = ["crop_blocks"]

_M2_HA = 10_000.0
_NUTRIENTS = ("nitrogen", "phosphate", "potash")


def crop_blocks(voice: Voice) -> list[Block]:
    """What the crop takes off, the rate by each nutrient, and whether the land told is enough."""
    plan = voice.plan
    crop = crop_of(plan.farm)
    if crop is None:
        named = plan.farm.land.crop if plan.farm.land else None
        unknown = [Paragraph(voice.text("land_crop_unknown", crop=named))] if named else []
        return [*unknown, *_enough(voice)]
    needs = {name: voice.result(f"crop_need_{name}_kg_ha") for name in _NUTRIENTS}
    amount = voice.ranged(plan.engine.node("crop_yield_t_ha"))
    lead = [voice.text("land_crop_lead", **{"yield": amount}, crop=crop.name, **needs)]
    if not crop.named:
        lead.append(voice.text("land_crop_usual", crop=crop.name))
    rates = {name: voice.result(f"rate_by_crop_{name}_t_ha") for name in _NUTRIENTS}
    first = min(_NUTRIENTS, key=lambda name: plan.number(f"rate_by_crop_{name}_t_ha") or 0.0)
    whole = {"rate": voice.result("crop_rate_t_ha"), "area": voice.result("crop_land_area_ha")}
    limit = voice.text(f"land_limit_{first}")
    return [
        Paragraph(" ".join(lead)),
        Paragraph(voice.text("land_crop_rate", limit=limit, **rates, **whole)),
        Paragraph(voice.text("land_crop_more"), "reason"),
        *_enough(voice),
    ]


def _enough(voice: Voice) -> list[Block]:
    """Whether the land that was told is enough for the law, and for the crop."""
    told = voice.plan.farm.land.area if voice.plan.farm.land else None
    law, crop = voice.plan.number("land_area_ha"), voice.plan.number("crop_land_area_ha")
    if told is None or law is None:
        return []
    have = told.value / _M2_HA
    name = "land_short" if have < law else "land_enough" if have >= (crop or law) else "land_law_only"
    return [Paragraph(voice.text(name, have=voice.number(told.value, "m2")))]
