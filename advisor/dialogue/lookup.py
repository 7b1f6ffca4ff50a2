"""Look-ups: one figure of the knowledge base, with its range and source; a term; a local number."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from advisor.dialogue.context import Context
from advisor.dialogue.explain import figure_lines
from advisor.dialogue.phrases import normal, sentence, table
from advisor.dialogue.reply import Line
from advisor.knowledge import Figure
from advisor.plan.wording import Units, say_range, shown_unit

__all__ = ["figures_asked", "look_up", "meaning_of", "ratio_of"]

_MOST_LINES = 5  # of the first answer to a plain question


def look_up(
    text: str, facts: Mapping[str, Any], context: Context, units: Units, full: bool = True
) -> tuple[list[Line], list[str]] | None:
    """What is known of the materials, animals or words a message asks about; None where nothing is held.

    `full` tells how each figure was chosen and all it rests on; else the values and the first source.
    """
    said = f" {normal(text)} "
    topic = str(facts.get("topic") or "")
    lines: list[Line] = []
    sources: list[str] = []
    for word in _names(facts.get("materials"), "name"):
        key = context.names.material(word)
        if key:
            more, cited = _entry(context.knowledge.materials[key], "materials", topic, said, context, units)
            lines += more
            sources += cited
    for word in _names(facts.get("animals"), "class"):
        key = context.names.animal(word)
        if key:
            more, cited = _entry(context.knowledge.animals[key], "animals", topic, said, context, units)
            lines += more
            sources += cited
    return (lines if full else _brief(lines), sources) if lines else None


def _brief(lines: list[Line]) -> list[Line]:
    """The first lines of an answer: what is said, and the first source. 'Why' and 'source' give the rest."""
    told = [line for line in lines if line.role == "answer"][: _MOST_LINES - 1]
    return [*told, *[line for line in lines if line.role == "source"][:1]]


def figures_asked(
    text: str, context: Context, units: Units, full: bool = True
) -> tuple[list[Line], list[str]] | None:
    """The figures that answer a common question, by the table asked_figures: every group of words must be met.

    Where several questions are met, the one that asks for most words. `full` as in look_up.
    """
    said = f" {normal(text)} "
    met: list[tuple[int, Any]] = []
    entries: Any = table("asked_figures")
    for entry in entries:
        groups = [[normal(word) for word in group.split("/")] for group in str(entry["words"]).split(";")]
        if all(any(f" {word} " in said for word in group) for group in groups):
            met.append((len(groups), entry))
    if not met:
        return None
    lines: list[Line] = []
    sources: list[str] = []
    for key in max(met, key=lambda pair: pair[0])[1]["figures"]:
        held = context.knowledge.figures[key]
        if held.figure is None:
            continue
        figure = held.figure
        value = say_range(figure.low, figure.value, figure.high, shown_unit(key, figure.unit), units)
        lines.append(Line("answer", sentence("value_is", label=held.label.capitalize(), value=value)))
        more, cited = figure_lines(figure, context.knowledge, units)
        lines += more[:3] if full else [line for line in more if line.role == "source"]
        sources += cited
    return (lines if full else _brief(lines), sources) if lines else None


def meaning_of(text: str, context: Context) -> tuple[list[Line], list[str]] | None:
    """The word of the trade that a message asks about, explained: the longest that stands in it."""
    said = f" {normal(text)} "
    found = [
        (len(word), term)
        for term in context.knowledge.glossary.values()
        for word in (normal(each) for each in (term.name, *term.words))
        if f" {word} " in said
    ]
    if not found:
        return None
    term = max(found, key=lambda pair: pair[0])[1]
    return [Line("answer", f"{term.name}: {term.means}")], list(term.sources)


def _names(raw: Any, key: str) -> Iterable[str]:
    return [str(one[key]) for one in raw or () if one.get(key)]


def _entry(
    entry: Any, kind: str, topic: str, said: str, context: Context, units: Units
) -> tuple[list[Line], list[str]]:
    """The properties asked about; where none is named, the few that matter most."""
    properties = table("properties")[kind]
    asked = [
        name
        for name, words in properties.items()
        if topic in words[1:] or any(f" {word} " in said for word in words[1:])
    ]
    lines: list[Line] = []
    sources: list[str] = []
    if not asked and entry.about:
        lines.append(Line("answer", f"{entry.name}: {entry.about}"))
    for name in asked or list(properties)[:3]:
        figure, unit = _figure(entry, name)
        label = properties[name][0]
        if figure is None:
            if asked:
                lines.append(Line("answer", sentence("not_held", label=label, name=entry.name)))
            continue
        value = say_range(figure.low, figure.value, figure.high, unit, units)
        lines.append(Line("answer", sentence("property", label=label, name=entry.name, value=value)))
        if asked:
            more, cited = figure_lines(figure, context.knowledge, units)
            lines += more[:4]
            sources += cited
    return lines, sources


def _figure(entry: Any, name: str) -> tuple[Figure | None, str]:
    """The figure of a property; the carbon to nitrogen ratio follows from carbon and nitrogen."""
    if name == "c_to_n":
        ratio = ratio_of(entry)
        return ratio, "" if ratio is None else "c_to_n"
    figure = getattr(entry, name, None)
    return figure, figure.unit if figure is not None else ""


def ratio_of(entry: Any) -> Figure | None:
    """Carbon to nitrogen of a material: as published, else from its carbon and its nitrogen."""
    if entry.published_c_to_n is not None:
        published: Figure = entry.published_c_to_n
        return published
    carbon, nitrogen = entry.carbon, entry.nitrogen
    if nitrogen.value <= 0 or nitrogen.low <= 0:
        return None
    return Figure(
        value=carbon.value / nitrogen.value,
        low=carbon.low / nitrogen.high,
        high=carbon.high / nitrogen.low,
        unit="fraction",
        basis=sentence("c_over_n"),
        evidence=(*carbon.evidence, *nitrogen.evidence),
        why=sentence("c_over_n"),
    )
