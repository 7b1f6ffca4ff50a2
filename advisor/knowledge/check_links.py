"""Links between entries: what they point at exists, nothing goes round in a circle, every source is used."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator
from typing import Any

from advisor.knowledge.schema import IDS_FILE, kept_ids
from advisor.knowledge.subject import Steps, Subject, close_to, walk
from advisor.knowledge.yaml_text import Fault, Place

__all__ = ["check_links"]

#: key, wherever it stands in a topic: the topic it points into ("" for the entry's own)
_POINTS: dict[str, str] = {
    "source": "sources",
    "sources": "sources",
    "cautions": "cautions",
    "narrower_of": "",
    "inherits": "regions",
    "overrides": "rules",
    "opposes": "rules",
    "classes": "animals",
    "fills": "facts",
    "fact": "facts",
    "remedies": "remedies",
    "nevers": "nevers",
    "danger": "dangers",
    "signs": "signs",
    "checks": "checks",
}
_SINGULAR = {"animals": "animal class", "remedies": "remedy"}
_ID = re.compile(r"[a-z][a-z0-9_]*")


def check_links(subject: Subject) -> Iterator[Fault]:
    """Every link of every entry."""
    links = list(_links(subject))
    yield from _ids(subject)
    yield from _dangling(subject, links)
    yield from _unused_sources(subject, links)
    yield from _sourceless(subject)
    yield from _gone(subject)
    for topic, key_name in (
        ("materials", "narrower_of"),
        ("animals", "narrower_of"),
        ("regions", "inherits"),
    ):
        yield from _circles(subject, topic, key_name)
    yield from _broader(subject)
    yield from _check_results(subject)
    yield from _both_ways(subject)


def _ids(subject: Subject) -> Iterator[Fault]:
    for topic, key, _ in subject.entries():
        if topic != "sources" and not _ID.fullmatch(str(key)):
            yield subject.fault(topic, key, (), f"'{key}' is no id", "use lower-case words joined by _")


#: topic, id, way, topic pointed into, id pointed at
_Link = tuple[str, str, Steps, str, str]


def _links(subject: Subject) -> Iterator[_Link]:
    """Every link of every entry."""
    for topic, key, entry in subject.entries():
        for steps, value in walk(entry):
            name = steps[-1] if steps else ""
            into = _POINTS.get(str(name))
            if into is None or "case" in steps or (name == "danger" and topic != "signs"):
                continue
            for way, target in _targets(value, steps):
                if isinstance(target, str) and target:
                    yield topic, key, way, into or topic, target


def _targets(value: Any, steps: Steps) -> Iterator[tuple[Steps, Any]]:
    if isinstance(value, list):
        yield from (((*steps, number), target) for number, target in enumerate(value))
    elif isinstance(value, dict):
        yield from (((*steps, target), target) for target in value)
    else:
        yield steps, value


def _dangling(subject: Subject, links: list[_Link]) -> Iterator[Fault]:
    for topic, key, steps, into, target in links:
        if target not in subject.ids(into):
            kind = _SINGULAR.get(into, into.rstrip("s"))
            near = close_to(target, subject.ids(into))
            article = "an" if kind[0] in "aeio" else "a"
            yield subject.fault(
                topic,
                key,
                steps,
                f"no {kind} is called '{target}'",
                near or f"add {article} {kind} under {into}/",
            )


def _unused_sources(subject: Subject, links: list[_Link]) -> Iterator[Fault]:
    used = {target for _, _, _, into, target in links if into == "sources"}
    for key in subject.ids("sources"):
        if key not in used:
            yield subject.fault(
                "sources", key, (), f"nothing cites the source '{key}'", "cite it, or take it out"
            )


def _sourceless(subject: Subject) -> Iterator[Fault]:
    """What was read somewhere says where; figures see to that themselves."""
    for topic, key, entry in subject.entries():
        for steps, value in walk(entry):
            if not isinstance(value, dict) or value.get("seen") not in ("primary", "secondary"):
                continue
            if not value.get("source") and not value.get("sources") and "evidence" not in steps:
                what = f"was seen as '{value['seen']}' but names no source"
                yield subject.fault(topic, key, (*steps, "seen"), what, "add the source, or say 'memory'")


def _gone(subject: Subject) -> Iterator[Fault]:
    """Ids that saved cases and farm files may name stay for good: they are listed in schema/ids.txt."""
    lines = kept_ids(subject.folder)
    before = set(lines)
    for number, (topic, key) in enumerate(lines, 1):
        if key in subject.ids(topic):
            continue
        new = [str(other) for other in subject.ids(topic) if (topic, other) not in before]
        kind = _SINGULAR.get(topic, topic.rstrip("s"))
        what = f"the {kind} '{key}' is gone, and saved cases or the program may name it"
        if close := difflib.get_close_matches(key, new, 1):
            yield subject.fault(topic, close[0], (), what, f"is '{close[0]}' its new name? Keep the old one")
        else:
            yield Fault(Place(IDS_FILE, number), what, "put it back, or take this line out")


def _circles(subject: Subject, topic: str, name: str) -> Iterator[Fault]:
    upward = {
        key: entry.get(name) for key, entry in subject.raw.get(topic, {}).items() if isinstance(entry, dict)
    }
    for key in upward:
        seen, here = [key], upward[key]
        while isinstance(here, str) and here in upward and here not in seen:
            seen.append(here)
            here = upward[here]
        if here == key:
            yield subject.fault(topic, key, (name,), f"goes round in a circle: {' > '.join([*seen, key])}")


def _broader(subject: Subject) -> Iterator[Fault]:
    """What is narrower refines a general entry of the same kind."""
    for topic, alike in (("materials", "kind"), ("animals", "species")):
        held = subject.knowledge.topic(topic)
        for key, entry in held.items():
            wider = held.get(entry.narrower_of) if entry.narrower_of else None
            if wider is None:
                continue
            if not wider.generic:
                what = f"'{entry.narrower_of}' is not marked as a general word"
                yield subject.fault(topic, key, ("narrower_of",), what, "give it `generic: true`")
            if getattr(wider, alike) != getattr(entry, alike):
                what = f"'{key}' is {getattr(entry, alike)}, but '{entry.narrower_of}' is {getattr(wider, alike)}"
                yield subject.fault(topic, key, ("narrower_of",), what)


def _check_results(subject: Subject) -> Iterator[Fault]:
    """What causes and facts say of a check is something that the check can show."""
    checks = subject.knowledge.checks
    named: list[tuple[str, str, Steps, str, str]] = []  # topic, id, way, check, result
    for key, cause in subject.knowledge.causes.items():
        for check, link in cause.checks.items():
            named += [
                ("causes", key, ("checks", check, "results", result), check, result)
                for result in link.results
            ]
    for key, entry in checks.items():
        named += [("checks", key, ("from_facts", result), key, result) for result in entry.from_facts]
    for topic, key, steps, check, result in named:
        if check in checks and result not in checks[check].results:
            results = checks[check].results
            mend = close_to(result, results) or f"one of: {', '.join(results)}"
            yield subject.fault(topic, key, steps, f"the check '{check}' never shows '{result}'", mend)


def _both_ways(subject: Subject) -> Iterator[Fault]:
    """A species is not both welcome and forbidden."""
    for topic, yes, no in (("materials", "lies_well", "never_for"), ("animals", "may_follow", "never_with")):
        for key, entry in subject.knowledge.topic(topic).items():
            for species in sorted(set(getattr(entry, yes)) & set(getattr(entry, no))):
                yield subject.fault(
                    topic, key, (no,), f"{species} stand both in {yes} and in {no}", "keep one"
                )
