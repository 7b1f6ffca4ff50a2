"""Figures: units that fit, nothing below nothing, evidence that supports the working value, C:N that adds up."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.knowledge.figure import Evidence, Figure
from advisor.knowledge.subject import Steps, Subject, figures_in
from advisor.knowledge.yaml_text import Fault
from advisor.units import UnitError, convert, same_dimension

__all__ = ["check_figures"]

_NEAR = 0.02  # printed numbers are rounded


def check_figures(subject: Subject) -> Iterator[Fault]:
    """Every figure of every topic."""
    for topic in subject.raw:
        for key, entry in subject.knowledge.topic(topic).items():
            for steps, figure in figures_in(entry):
                for way, what, mend in _figure(figure):
                    yield subject.fault(topic, key, (*steps, *way), what, mend)
    yield from _held_in(subject)
    yield from _carbon_to_nitrogen(subject)


def _figure(figure: Figure) -> Iterator[tuple[Steps, str, str]]:
    try:
        warmth = same_dimension(figure.unit, "degC")
    except UnitError as fault:
        yield ("unit",), str(fault), "see advisor/units.txt for those there are"
        return
    if figure.low < 0 and not warmth:
        yield (
            ("low",),
            f"{figure.low:g} {figure.unit} is less than nothing",
            "only temperatures go below zero",
        )
    for number, item in enumerate(figure.evidence):
        way: Steps = ("evidence", number)
        for name in ("low", "value", "high"):
            amount = getattr(item, name)
            if amount is not None and amount < 0 and not warmth:
                yield (*way, name), f"{amount:g} {item.unit or figure.unit} is less than nothing", ""
                break
        if item.at and item.source is None:
            yield way, "says where ('at') but not in which source", "add `source:`, or move it to `note:`"
    if not figure.why and (span := _span(figure)) is not None:
        low, high = span
        slack = _NEAR * max(abs(low), abs(high))
        if not low - slack <= figure.value <= high + slack:
            what = f"the working value {figure.value:g} lies outside its evidence, {low:g} to {high:g} {figure.unit}"
            yield ("value",), what, "mend the number, or say in 'why' how it was chosen"


def _span(figure: Figure) -> tuple[float, float] | None:
    """From the least to the most that the evidence says, in the figure's unit."""
    found = []
    for item in figure.evidence:
        for amount in _amounts(item):
            try:
                found.append(convert(amount, item.unit or figure.unit, figure.unit) if item.unit else amount)
            except UnitError:
                return None
        if not item.unit:
            return None  # in the unit the figure was written in, which is not held any more
    return (min(found), max(found)) if found else None


def _amounts(item: Evidence) -> list[float]:
    return [amount for amount in (item.low, item.value, item.high) if amount is not None]


def _held_in(subject: Subject) -> Iterator[Fault]:
    """Figures of the science can be given in the unit that formulas receive."""
    for key, entry in subject.knowledge.figures.items():
        places: list[tuple[Steps, Figure]] = [
            (("cases", n, "figure"), case.figure) for n, case in enumerate(entry.cases)
        ]
        if entry.figure is not None:
            places.append((("figure",), entry.figure))
        wrong = [(steps, fault) for steps, figure in places if (fault := _cannot_be_in(figure, entry.si))]
        if wrong and len(wrong) == len(places):  # then it is rather si that is wrong
            yield subject.fault("figures", key, ("si",), wrong[0][1])
        else:
            for steps, fault in wrong:
                yield subject.fault("figures", key, (*steps, "unit"), fault, f"si says '{entry.si}'")
        if not places:
            yield subject.fault("figures", key, (), f"'{key}' has neither a figure nor cases", "add one")


def _cannot_be_in(figure: Figure, unit: str) -> str:
    try:
        figure.to(unit)
    except UnitError as fault:
        return str(fault)
    return ""


def _carbon_to_nitrogen(subject: Subject) -> Iterator[Fault]:
    for key, material in subject.knowledge.materials.items():
        published = material.published_c_to_n
        if published is None or not material.nitrogen.value:
            continue
        ratio = material.carbon.value / material.nitrogen.value
        if not published.low <= ratio <= published.high:
            said = f"{published.low:g} to {published.high:g}"
            what = f"the published C:N, {said}, contradicts carbon over nitrogen, {ratio:.3g}"
            yield subject.fault("materials", key, ("published_c_to_n",), what, "one of the three is wrong")
