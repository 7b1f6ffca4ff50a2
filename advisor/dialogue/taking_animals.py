"""Animals told of: which group is meant, how many, and what a correction replaces."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from advisor.dialogue.agenda import Ask
from advisor.dialogue.draft import Draft
from advisor.dialogue.phrases import normal
from advisor.dialogue.taken import Taken, put_amount, ranged
from advisor.knowledge import Knowledge

__all__ = ["take_animals"]


def take_animals(
    taken: Taken,
    facts: Mapping[str, Any],
    ask: Ask | None,
    draft: Draft,
    knowledge: Knowledge,
    correcting: bool,
) -> None:
    told = facts.get("animals") or ()
    corrects = facts.get("corrects") or ()
    groups = dict(draft.groups)
    if ask and ask.id == "animals" and groups and told and not correcting:
        for key in groups:  # the question was opened again: the answer replaces what stood there
            taken.drop(f"groups.{key}")
        groups = {}
    for word in facts.get("no_animals") or ():
        entry = taken.names.animal(str(word))
        for key in _matching(entry, groups, knowledge) if entry else ():
            taken.drop(f"groups.{key}")
            groups.pop(key)
    common = _common(groups, knowledge)
    for one in told:
        entry = taken.names.animal(str(one.get("class", "")))
        if entry is None:
            taken.strange.append(str(one.get("class", "")))
            continue
        if correcting and one.get("count") is not None:
            for each in _several(entry, groups, knowledge):  # 'fifteen goats' for does and bucks together
                taken.drop(f"groups.{each}")
                groups.pop(each)
        key = _group_for(
            entry, one, ask, groups, taken.said, correcting and "class of animal" in corrects, knowledge
        )
        if key != entry and _added(key, entry, told, taken, knowledge):
            key = entry  # 'three horses and a pony': the pony is no horse of the three
        uncounted = one.get("count") is None and one.get("count_range") is None
        if key not in groups and uncounted and groups and not (ask and ask.id == "animals"):
            taken.uncounted.append(knowledge.animals[entry].plural)
            continue
        if key not in groups:
            taken.put(f"groups.{key}.class", entry)
            for name, value in common.items():
                taken.put(f"groups.{key}.{name}", value)
            groups[key] = {"class": entry}
        elif groups[key]["class"] != entry and (
            _narrows(entry, groups[key]["class"], knowledge) or (correcting and "class of animal" in corrects)
        ):
            old = groups.pop(key)
            taken.drop(f"groups.{key}")
            kept = {**old, "class": entry}
            kept.pop("weight", None)
            groups[entry] = kept
            for name, value in kept.items():
                taken.put(f"groups.{entry}.{name}", value)
            key = entry
        _heads(taken, f"groups.{key}", one)
        put_amount(taken, one, "weight_kg", f"groups.{key}.weight", "kg/head", said=one.get("weight_as"))


def _added(
    wide: str, entry: str, told: Iterable[Mapping[str, Any]], taken: Taken, knowledge: Knowledge
) -> bool:
    """Whether a message counts a narrower kind beside a wider one, and not as its parts of it."""
    counts: dict[str, float] = {}
    for one in told:
        name = taken.names.animal(str(one.get("class", "")))
        if name is not None and one.get("count") is not None:
            counts[name] = counts.get(name, 0.0) + float(one["count"])
    if wide not in counts or entry not in counts or " and " not in f" {taken.said} ":
        return False
    parts = sum(count for name, count in counts.items() if name != wide and _narrows(name, wide, knowledge))
    return parts != counts[wide] and _narrows(entry, wide, knowledge)


def _common(groups: Mapping[str, Mapping[str, Any]], knowledge: Knowledge) -> dict[str, Any]:
    """What was told of every group at once (feed and the like) holds for one that joins them."""
    wide = {
        pattern.removeprefix("groups.*.").split(".")[0]
        for question in knowledge.questions.values()
        for pattern in (*question.paths, *(path for gives in question.gives.values() for path in gives))
        if pattern.startswith("groups.*.")
    }
    first: Mapping[str, Any] = next(iter(groups.values()), {})
    return {
        name: first[name]
        for name in sorted(wide)
        if name in first and all(group.get(name) == first[name] for group in groups.values())
    }


def _heads(taken: Taken, place: str, one: Mapping[str, Any]) -> None:
    found = ranged(one, "count")
    if found is None:
        return
    value, low, high = (round(each) for each in found)
    if value == 0:
        taken.drop(place)
        return
    taken.put(f"{place}.count", value)
    for name, end in (("count_low", low), ("count_high", high)):
        if low < high:
            taken.put(f"{place}.{name}", end)
        else:
            taken.drop(f"{place}.{name}")


def _group_for(
    entry: str,
    one: Mapping[str, Any],
    ask: Ask | None,
    groups: Mapping[str, Mapping[str, Any]],
    said: str,
    class_was_wrong: bool,
    knowledge: Knowledge,
) -> str:
    """The group that an animal word means: one told before where it can only be that, else a new one."""
    if entry in groups:
        return entry
    if class_was_wrong:
        wrong = _wrongly_named(one, groups, said, knowledge)
        if wrong is not None:
            return wrong
    found = _matching(entry, groups, knowledge)
    if ask and ask.subject in found:
        return ask.subject
    generic = knowledge.animals[entry].generic or one.get("count") is None
    wider = len(found) == 1 and _narrows(entry, groups[found[0]]["class"], knowledge)
    return found[0] if len(found) == 1 and (generic or wider) else entry


def _wrongly_named(
    one: Mapping[str, Any], groups: Mapping[str, Mapping[str, Any]], said: str, knowledge: Knowledge
) -> str | None:
    """The group whose class a correction replaces: the one it names, else the one of that number, else the only one."""
    for key, told in groups.items():
        entry = knowledge.animals[told["class"]]
        if any(f" {normal(word)} " in said for word in (entry.name, entry.plural)):
            return key
    for key, told in groups.items():
        if one.get("count") is not None and told.get("count") == one["count"]:
            return key
    return next(iter(groups)) if len(groups) == 1 else None


def _matching(entry: str, groups: Mapping[str, Mapping[str, Any]], knowledge: Knowledge) -> list[str]:
    """Groups of that class or, for a general word, of a class that narrows it; or the other way round."""
    same = [key for key, told in groups.items() if told["class"] == entry]
    if same:
        return same
    return [
        key
        for key, told in groups.items()
        if entry in _wider(told["class"], knowledge) or told["class"] in _wider(entry, knowledge)
    ]


def _several(entry: str, groups: Mapping[str, Mapping[str, Any]], knowledge: Knowledge) -> list[str]:
    """The groups that a general word covers, where it covers more than one."""
    covered = [
        key
        for key, told in groups.items()
        if told["class"] != entry and entry in _wider(told["class"], knowledge)
    ]
    return covered if len(covered) > 1 and entry not in groups else []


def _narrows(entry: str, told: str, knowledge: Knowledge) -> bool:
    """Whether a class is a narrower word for what was told before: ewes for sheep."""
    return told in _wider(entry, knowledge)


def _wider(name: str, knowledge: Knowledge) -> Iterator[str]:
    above: str | None = name
    while above:
        yield above
        above = knowledge.animals[above].narrower_of
