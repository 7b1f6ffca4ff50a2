"""Words that people use: none names two things, unless one is the general word for the other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from advisor.knowledge.subject import Steps, Subject
from advisor.knowledge.yaml_text import Fault

__all__ = ["check_words"]

_Owner = tuple[str, str, Steps]  # topic, id, way to the word


def check_words(subject: Subject) -> Iterator[Fault]:
    """Names and other words of animals and materials, as the language reads them; of regions and terms too."""
    yield from _collisions(subject, ("animals", "materials"))
    yield from _collisions(subject, ("regions",))
    yield from _collisions(subject, ("glossary",))


def _collisions(subject: Subject, topics: tuple[str, ...]) -> Iterator[Fault]:
    from advisor.language.text import plain, tokenise

    owners: dict[tuple[str, ...], dict[tuple[str, str], _Owner]] = defaultdict(dict)
    for topic in topics:
        for key, entry in subject.knowledge.topic(topic).items():
            named: list[tuple[Steps, str]] = [
                (("name",), entry.name),
                (("plural",), getattr(entry, "plural", "")),
            ]
            for field in ("words", "breeds"):
                named += [((field, n), word) for n, word in enumerate(getattr(entry, field, ()))]
            for steps, word in named:
                if read := tuple(token.stem for token in tokenise(plain(word))):
                    owners[read].setdefault((topic, key), (topic, key, steps))
    for read, found in owners.items():
        first, *rest = found.values()
        for topic, key, steps in rest:
            what = f"'{' '.join(read)}' already names '{first[1]}' at {subject.place(*first)}"
            yield subject.fault(topic, key, steps, what, "take it out of one of the two")
