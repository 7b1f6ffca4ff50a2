"""The answer to the question asked, and loose facts: everything but animals and materials."""

from __future__ import annotations

from dataclasses import replace

from advisor.language.amounts import Amounts
from advisor.language.degrees import to_celsius
from advisor.language.facts import Finder
from advisor.language.lexicon import Lexicon
from advisor.language.periods import Periods
from advisor.language.quantities import spoken
from advisor.language.rest import with_unit
from advisor.language.scan import Scan

__all__ = ["fill_rest"]


class Slots(Amounts, Periods):
    """All readers of what is left."""

    def numbers(self) -> None:
        if self.asking:
            return
        asked = self.scan.asked
        of = asked.of if asked else ""
        for place, item in self.free("number"):
            number = item.number
            if number is None:
                continue
            slot = self.slot
            before = self.items[place - 1].text if place else ""
            if slot == "count" and before != "not" and not self._told_at_last(place):
                self._count(item)
            elif slot == "weight":
                self._bare_weight(item)
            elif (
                slot in ("depth", "temperature")
                or (slot == "quantity" and of == "bale weight")
                or slot == "days"
            ):
                done = {
                    "depth": "depth_cm",
                    "temperature": "quantities",
                    "quantity": "quantities",
                    "days": "days",
                }[slot]
                if (
                    done in self.facts
                    or f"{done}_range" in self.facts
                    or self.out.clarify
                    or self.out.queried
                ):
                    continue
                self.out.used.add(item.start)
                self._bare(
                    item, number.low, number.high, of or ("number of days housed" if slot == "days" else "")
                )
            elif (
                slot == ""
                and number.low < 0
                and any(q.get("si_unit") == "degC" for q in self.facts.get("quantities", []))
            ):
                unit = next(str(q["unit"]) for q in self.facts["quantities"] if q.get("si_unit") == "degC")
                if unit in ("degC", "degF"):
                    self.out.used.add(item.start)
                    self.quantity(
                        "winter outside temperature",
                        with_unit(item, unit),
                        (to_celsius(number.low, unit), to_celsius(number.high, unit)),
                        "degC",
                    )
            elif slot == "" and number.low < 0 and self.near(place, "outside_air", 6, 4):
                self.out.used.add(item.start)
                if self.scan.us:
                    self.out.clarify.append("unit of the winter outside temperature")
                else:
                    self.quantity(
                        "winter outside temperature",
                        with_unit(item, "degC"),
                        (number.low, number.high),
                        "degC",
                    )
            elif (
                slot == ""
                and not self.facts.get("animals")
                and [i.text for i in self.items[place + 2 : place + 4]] in (["of", "them"], ["of", "those"])
                and {i.text for i in self.items[place + 1 : place + 2]} & self.lexicon.lists["lots_of"]
            ):
                self.out.used.add(item.start)
                self.out.clarify.append("which animals and how many")
            elif slot == "" and self.near(place, "temperature_words", 3, 0):
                self.out.used.add(item.start)
                outside = self.near(place, "outside_air", 6, 4)
                of = "winter outside temperature" if outside else ""
                low, high = number.low, number.high
                if [i.text for i in self.items[place + 1 : place + 2]] in (["below"], ["under"]):
                    low, high = -high, -low
                    number = replace(number, low=low, high=high)
                    item = replace(item, number=number, spoken=spoken(number, ""))
                self._bare(item, low, high, of, {"degC": (-40, 78), "degF": (95, 180)})
            elif slot == "moisture":
                if "quantities" in self.facts or self.out.queried:
                    continue
                self.out.used.add(item.start)
                self._bare_share(item, of)
            elif slot == "area":
                if "area_m2" not in self.facts and "area_m2_range" not in self.facts:
                    self.out.used.add(item.start)
                    if number.low <= 0:
                        self.out.queried.append("floor area")
                    else:
                        self.out.clarify.append("unit of the floor area")
            elif (
                slot in ("", "amount", "materials")
                and self.finder._rate_after(place)
                and self._comes_in(False)
            ):
                return
            elif slot == "rate" and self.finder._rate_after(place) and not self._answered("rate"):
                per_day, _, end = self.finder._rate_after(place) or (1.0, False, 0)
                self.out.used.update(i.start for i in self.items if item.start <= i.start < end)
                self.quantity("bedding rate", item, (number.low * per_day, number.high * per_day), "bale/day")
            elif (
                slot == ""
                and {"days", "day"} & {i.text for i in self.items[max(0, place - 3) : place]}
                and number.low > 6
                and "days" not in self.facts
            ):
                self._days(item)
            elif slot in ("amount", "rate") or (slot == "quantity" and of == "field area"):
                if slot == "amount" and number.low == 0:
                    self._none_left()
                    self.out.used.add(item.start)
                elif not self._answered(slot):
                    self.out.used.add(item.start)
                    self.out.clarify.append(
                        {"amount": f"unit of {self.scan.subject}", "rate": "unit of the bedding rate"}.get(
                            slot, "unit of the area of land"
                        )
                    )
            elif slot == "animals" and before not in ("option",) and not self.facts.get("animals"):
                self.out.used.add(item.start)
                self.out.clarify.append("which animals")
            elif slot == "period" and not self._answered(slot):
                self.out.used.add(item.start)
                self.out.clarify.append("days, weeks or months")
            elif slot in ("start", "end") and slot not in self.facts:
                self.out.used.add(item.start)
                self.out.clarify.append("which month")

    def _told_at_last(self, place: int) -> bool:
        """'14 killed last week so 31 left': a number before the one that the rest comes to."""
        for later in range(place + 1, len(self.items)):
            item = self.items[later]
            if item.kind == "number" and self.items[later - 1].text in self.lexicon.lists["comes_to"]:
                return True
        return False


def fill_rest(scan: Scan, lexicon: Lexicon, finder: Finder) -> None:
    """Read what is left by the question asked, then by its own unit."""
    rest = Slots(scan, lexicon, finder)
    if rest.slot == "name":
        return
    if rest.slot in ("option", "choice", "yes_no"):
        for _, item in rest.free("number"):
            rest.out.used.add(item.start)
    rest.all_year()
    rest.dates()
    if rest.slot == "hours":
        rest.hours()
    elif not rest.asking and (rest.slot == "" or (rest.slot == "yes_no" and "24" in scan.words())):
        rest.open_hours()
    rest.periods()
    rest.sides()
    rest.two_lengths()
    rest.amounts()
    rest.numbers()
    rest.prices()
