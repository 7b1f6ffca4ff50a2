"""How high the floor will stand against gates, drinkers and headroom."""

from __future__ import annotations

import math

from advisor.plan.document import Block, Paragraph, Section
from advisor.plan.sections.pictures import depth_chart, supply_chart
from advisor.plan.voice import Voice
from advisor.plan.wording import say_date
from advisor.reasoning.draws import typical
from advisor.reasoning.engine import Node

__all__ = ["height_section"]

_LEAST_RISE_M = 0.001  # a week: less is no rise that anyone would see


def height_section(voice: Voice) -> Section:
    """The floor at turnout against gates, headroom and drinkers."""
    plan = voice.plan
    blocks: list[Block] = []
    known = False
    for pen in plan.farm.pens:
        results = plan.pens[pen.id]
        lowest, laid = results["pen_lowest_depth_m"], results["laid_base_depth_m"]
        rise = results["pen_rise_m_week"]
        flat = rise is None or rise.spread()[1] < _LEAST_RISE_M
        trodden = lowest is not None and laid is not None and lowest.spread()[1] < 0.9 * laid.spread()[1]
        blocks.append(
            Paragraph(
                voice.text(
                    "height_depth_flat" if flat else "height_depth_trodden" if trodden else "height_depth",
                    pen=voice.pen(pen.id),
                    depth=voice.ranged(results["pen_end_depth_m"]),
                    lowest=voice.ranged(lowest),
                    rise=voice.ranged(rise),
                ),
                "lead",
            )
        )
        told = _against_the_pack(voice, pen.id)
        known = known or bool(told)
        blocks += [Paragraph(text) for text in told]
    if not known:
        blocks.append(Paragraph(voice.text("height_unknown")))
    blocks.append(Paragraph(voice.text("height_reason"), "reason"))
    left = supply_chart(voice)
    blocks += [depth_chart(voice)] if left is None else [depth_chart(voice), left]  # side by side on paper
    return Section("height", voice.text("height_title"), tuple(blocks))


def _against_the_pack(voice: Voice, pen: str) -> list[str]:
    """What the pack leaves of gate, headroom and drinker, as far as their heights were told."""
    plan, out = voice.plan, []
    results = plan.pens[pen]
    gate, head, drinker = (
        results[name] for name in ("pen_gate_margin_m", "pen_headroom_left_m", "drinker_reached_day")
    )
    if gate is not None:
        low, middle, _ = gate.spread()
        enough = low >= typical(plan.engine.value("gate_height_least", ("pen", pen)))
        out.append(
            voice.text("height_gate_over", over=voice.number(-middle, "m"))
            if middle <= 0
            else voice.text("height_gate" if enough else "height_gate_bad", left=voice.ranged(gate))
        )
        out += _when(voice, results["gate_reached_day"], "height_gate_date")
    if head is not None:
        none = head.spread()[1] <= 0
        out.append(
            voice.text("height_headroom_none")
            if none
            else voice.text("height_headroom", left=voice.ranged(head))
        )
        out += _when(voice, results["headroom_reached_day"], "height_headroom_date")
    if drinker is not None and math.isfinite(drinker.spread()[1]):
        day = int(drinker.spread()[1])
        if day == 0:
            out.append(voice.text("height_drinker_first"))
        elif plan.timeline.dates_told:
            out.append(voice.text("height_drinker", date=say_date(plan.timeline.date(day), voice.units)))
    return out


def _when(voice: Voice, day: Node | None, sentence: str) -> list[str]:
    """The date on which a height is reached, in a sentence; nothing where it likely never is or no date is known."""
    if day is None or not math.isfinite(day.spread()[1]) or not voice.plan.timeline.dates_told:
        return []
    date = say_date(voice.plan.timeline.date(int(day.spread()[1])), voice.units)
    return [voice.text(sentence, date=date, least=voice.held("headroom_least"))]
