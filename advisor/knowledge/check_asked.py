"""The questions that keepers ask: patterns read, conditions and places lead somewhere, and one answer always stands."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from advisor.knowledge.code_names import names_in_code
from advisor.knowledge.models_asked import Asked, Said
from advisor.knowledge.subject import Steps, Subject, close_to
from advisor.knowledge.yaml_text import Fault, read_yaml
from advisor.reasoning.expressions import ConditionError, compile_condition

if TYPE_CHECKING:
    from advisor.language.patterns import Grammar

__all__ = ["check_asked"]

_PLACE = re.compile(r"\{(\w+)(?::\w+)?\}")
_DIGITS = re.compile(r"\d[\d.,:/]*")


def check_asked(subject: Subject) -> Iterator[Fault]:
    """Every entry of knowledge/asked."""
    grammar = _grammar(subject)
    for key, entry in subject.knowledge.asked.items():
        for steps, what, mend in (
            *_patterns(entry, grammar),
            *_links(subject, entry),
            *_always(entry),
            *(found for number, said in enumerate(entry.answers) for found in _said(subject, number, said)),
        ):
            yield subject.fault("asked", key, steps, what, mend)


_Found = Iterator[tuple[Steps, str, str]]


def _grammar(subject: Subject) -> Grammar | None:
    """What the patterns are read with; None where the word tables have faults of their own."""
    from advisor.language.patterns import Grammar
    from advisor.language.tables import split_words

    path = subject.folder / "words" / "groups.yaml"
    text = read_yaml(path, path.name) if path.is_file() else None
    if text is None or text.faults or not isinstance(text.data, dict):
        return None
    return Grammar({str(name): split_words(str(words)) for name, words in text.data.items()})


def _patterns(entry: Asked, grammar: Grammar | None) -> _Found:
    for number, pattern in enumerate(entry.words):
        if grammar is None:
            return
        try:
            grammar.compile(pattern)
        except ValueError as wrong:
            yield ("words", number), f"the pattern '{pattern}' cannot be read: {wrong}", ""


def _links(subject: Subject, entry: Asked) -> _Found:
    for number, name in enumerate(entry.worked):
        if name not in names_in_code():
            yield ("worked", number), f"there is no working '{name}'", close_to(name, names_in_code())
    if entry.opens and entry.opens not in names_in_code():
        yield ("opens",), f"nothing works out '{entry.opens}'", close_to(entry.opens, names_in_code())
    for number, name in enumerate(entry.also):
        if name not in subject.ids("figures"):
            yield ("also", number), f"'{name}' is no figure", close_to(name, subject.ids("figures"))
    for name, when in entry.hands_to.items():
        if name not in subject.ids("asked"):
            yield ("hands_to", name), f"'{name}' is no entry here", close_to(name, subject.ids("asked"))
        yield from _condition(subject, when, ("hands_to", name))


def _always(entry: Asked) -> _Found:
    """Somebody asks before anything is known: the last answer must do for that."""
    last = entry.answers[-1]
    if last.when != "true":
        at = ("answers", len(entry.answers) - 1, "when")
        yield at, "the last answer is not always given", "leave out its `when`, or add an answer without one"


def _said(subject: Subject, number: int, said: Said) -> _Found:
    yield from _condition(subject, said.when, ("answers", number, "when"))
    known = {*names_in_code(), *subject.ids("figures")}
    for field in ("says", "because", "way_on"):
        text = str(getattr(said, field))
        at: Steps = ("answers", number, field)
        for name in _PLACE.findall(text):
            if name not in known:
                yield at, f"'{{{name}}}' is no result, figure or working", close_to(name, known)
        if digits := _DIGITS.search(_PLACE.sub("", text)):
            mend = "make it a figure and write {its_id} here"
            yield at, f"'{digits[0]}' stands in prose as a bare number", mend


def _condition(subject: Subject, text: str, at: Steps) -> _Found:
    try:
        condition = compile_condition(text)
    except ConditionError as wrong:
        yield at, f"in the condition `{text}`: {wrong}", ""
        return
    known = {*names_in_code(), *subject.ids("facts")}
    for name in sorted(condition.names - known):
        yield at, f"nothing is called '{name}'", close_to(name, known)
