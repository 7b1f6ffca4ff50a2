"""Conditions: they read facts that exist, can come true, and the cases of the rules bear them out."""

from __future__ import annotations

import ast
import contextlib
from collections.abc import Collection, Iterator, Mapping
from functools import lru_cache
from itertools import islice
from typing import Any

from advisor.knowledge.code_names import names_in_code
from advisor.knowledge.models import Rule
from advisor.knowledge.subject import Steps, Subject, close_to
from advisor.knowledge.yaml_text import Fault
from advisor.reasoning.expressions import Condition, ConditionError, Kind, compile_condition, neighbours
from advisor.reasoning.rules import applicable
from advisor.units import UnitError, same_dimension

__all__ = ["check_conditions", "unasked_facts"]

_MOST_TRIALS = 20_000
_OPEN_LISTS: dict[str, Collection[str]] = {"species": (), "families": (), "materials": (), "classes": ()}


def check_conditions(subject: Subject) -> Iterator[Fault]:
    """Every condition of rules, cautions, questions and troubles, and the facts that they read."""
    kinds: dict[str, Kind] = {name: fact.kind for name, fact in subject.knowledge.facts.items()}
    words = _words(subject)
    good: dict[tuple[str, str], Condition] = {}
    for topic, key, steps, text in _conditions(subject):
        try:
            condition = _compiled(text, tuple(sorted({**kinds, **_other_names(subject, topic)}.items())))
        except ConditionError as fault:
            yield subject.fault(topic, key, steps, f"in the condition `{text}`: {fault}")
            continue
        if steps == ("when",):
            good[topic, key] = condition
        wrong = False
        for name, word in _compared(condition):
            if name in words and word not in words[name]:
                wrong = True
                mend = close_to(word, words[name]) or f"one of: {', '.join(sorted(words[name])[:12])}"
                yield subject.fault(topic, key, steps, f"'{name}' is never '{word}'", mend)
        if not wrong and text != "false" and not _can_hold(text, condition):
            yield subject.fault(topic, key, steps, f"`{text}` can never be true", "see each comparison in it")
    for key, rule in subject.knowledge.rules.items():
        if ("rules", key) in good:
            yield from _case(subject, key, rule, good["rules", key], kinds, words)
    yield from _opposed(subject, good)
    yield from _overrides(subject)
    yield from _never_shown(subject)
    yield from _supplied(subject)


@lru_cache(maxsize=4096)
def _compiled(text: str, kinds: tuple[tuple[str, Kind], ...] | None) -> Condition:
    return compile_condition(text, None if kinds is None else dict(kinds))


@lru_cache(maxsize=4096)
def _can_hold(text: str, condition: Condition) -> bool:
    return any(condition(facts) is True for facts in islice(neighbours(condition), _MOST_TRIALS))


def _conditions(subject: Subject) -> Iterator[tuple[str, str, Steps, str]]:
    held = subject.knowledge
    for topic in ("rules", "cautions", "questions", "dangers"):
        for key, entry in held.topic(topic).items():
            yield topic, key, ("when",), entry.when
    for key, cause in held.causes.items():
        for number, lean in enumerate(cause.leans):
            yield "causes", key, ("leans", number, "when"), lean.when
    for key, check in held.checks.items():
        for result, text in check.from_facts.items():
            yield "checks", key, ("from_facts", result), text


def _other_names(subject: Subject, topic: str) -> dict[str, Kind]:
    """What conditions of dangers and causes may read besides facts: check results and signs by their ids."""
    told = [*subject.ids("checks"), *subject.ids("signs")]
    return dict.fromkeys(told, "any") if topic in ("dangers", "causes") else {}


def _words(subject: Subject) -> dict[str, Collection[str]]:
    """fact: the words it may hold, where that is settled."""
    held = subject.knowledge
    found: dict[str, Collection[str]] = {
        name: fact.choices for name, fact in held.facts.items() if fact.choices
    }
    for name, topic in (
        ("classes", "animals"), ("class", "animals"), ("materials", "materials"), ("material", "materials"),
        ("region", "regions"),
    ):  # fmt: skip
        found[name] = subject.ids(topic)
    found["families"] = {material.family for material in held.materials.values()}
    return found


def _compared(condition: Condition) -> Iterator[tuple[str, str]]:
    """(fact, word) of every comparison of a fact with a word."""
    for node in ast.walk(condition.tree):
        if not isinstance(node, ast.Compare):
            continue
        sides = [node.left, *node.comparators]
        names = [side.id for side in sides if isinstance(side, ast.Name)]
        for leaf in (leaf for side in sides for leaf in ast.walk(side)):
            if isinstance(leaf, ast.Constant) and isinstance(leaf.value, str):
                yield from ((name, leaf.value) for name in names)


def _case(
    subject: Subject,
    key: str,
    rule: Rule,
    condition: Condition,
    kinds: Mapping[str, Kind],
    words: Mapping[str, Collection[str]],
) -> Iterator[Fault]:
    """The case fires the rule, its neighbour does not, and both tell facts that the rule reads."""
    sound = True
    for name, facts in (("fires", rule.case.fires), ("not_fires", rule.case.not_fires)):
        for fact, value in facts.items():
            wrong = _wrong_value(subject, fact, value, kinds, words)
            if fact not in condition.names:
                wrong = f"the rule does not read '{fact}'", close_to(fact, condition.names)
            if wrong:
                sound = False
                yield subject.fault("rules", key, ("case", name, fact), *wrong)
    if not sound:
        return
    if condition(rule.case.fires) is not True:
        yield subject.fault(
            "rules", key, ("case", "fires"), "the rule does not fire in its own case", f"when: {rule.when}"
        )
    truth = condition(rule.case.not_fires)
    if truth is not False:
        what = (
            "the rule fires in the neighbour in which it must not"
            if truth
            else "the neighbour leaves the rule open"
        )
        yield subject.fault("rules", key, ("case", "not_fires"), what, f"when: {rule.when}")


def _wrong_value(
    subject: Subject, fact: str, value: Any, kinds: Mapping[str, Kind], words: Mapping[str, Collection[str]]
) -> tuple[str, str] | None:
    kind = kinds.get(fact)
    if kind is None or value is None:
        return None
    fits = {
        "flag": isinstance(value, bool),
        "number": isinstance(value, int | float) and not isinstance(value, bool),
        "text": isinstance(value, str),
        "list": isinstance(value, tuple),
    }.get(kind, True)
    if not fits:
        return f"'{fact}' is a {kind}, not {value!r}", ""
    if kind == "number" and value < 0 and not _below_zero(subject, fact):
        return f"'{fact}' cannot be {value:g}", "only temperatures and margins go below zero"
    for word in value if isinstance(value, tuple) else (value,):
        if fact in words and isinstance(word, str) and word not in words[fact]:
            return f"'{fact}' is never '{word}'", close_to(word, words[fact])
    return None


def _below_zero(subject: Subject, fact: str) -> bool:
    return subject.knowledge.facts[fact].unit == "degC" or "margin" in fact or "left" in fact


def _opposed(subject: Subject, good: Mapping[tuple[str, str], Condition]) -> Iterator[Fault]:
    """Rules that advise the opposite never speak at once."""
    rules = subject.knowledge.rules
    choices = {
        name: fact.choices for name, fact in subject.knowledge.facts.items() if fact.choices
    } | _OPEN_LISTS
    done = set()
    for key, rule in rules.items():
        for other in rule.opposes:
            pair = tuple(sorted((key, other)))
            if pair in done or not {("rules", key), ("rules", other)} <= set(good):
                continue
            done.add(pair)
            both = {one: rules[one] for one in pair}
            trials = neighbours(good["rules", key], good["rules", other], choices=choices)
            for facts in islice(trials, _MOST_TRIALS):
                if len(applicable(both, facts)) > 1:
                    told = ", ".join(f"{name}: {value}" for name, value in facts.items())
                    what = f"'{key}' and '{other}' advise the opposite, and both speak where {told}"
                    yield subject.fault(
                        "rules", key, ("opposes",), what, "narrow one, or let one override the other"
                    )
                    break


def _overrides(subject: Subject) -> Iterator[Fault]:
    """A rule overrides only what matters no more than itself, and never in a circle."""
    rules = subject.knowledge.rules
    for key, rule in rules.items():
        below, todo = set(), list(rule.overrides)
        while todo:
            other = todo.pop()
            if other in rules and other not in below:
                below.add(other)
                todo += rules[other].overrides
        if key in below:
            yield subject.fault("rules", key, ("overrides",), "overrides go round in a circle")
        for other in sorted(below):
            if rules[other].rank < rule.rank:
                what = (
                    f"overrides '{other}', which matters more (rank {rules[other].rank} before {rule.rank})"
                )
                yield subject.fault("rules", key, ("overrides",), what)


def _never_shown(subject: Subject) -> Iterator[Fault]:
    """Every caution is shown by its own condition or named by something else."""
    named: set[str] = set()
    for topic, _, entry in subject.entries():
        if topic != "cautions" and isinstance(entry, dict):
            named |= {name for name in entry.get("cautions") or () if isinstance(name, str)}
    for key, caution in subject.knowledge.cautions.items():
        if caution.when == "false" and key not in named:
            yield subject.fault(
                "cautions", key, (), "is never shown", "give it `when:`, or name it in a rule"
            )


def _supplied(subject: Subject) -> Iterator[Fault]:
    """What is worked out has a formula, and questions ask in a unit that fits the fact they fill."""
    for key, fact in subject.knowledge.facts.items():
        if fact.derived and key not in names_in_code():
            yield subject.fault(
                "facts", key, (), f"nothing works out '{key}'", "mend its name, or add the formula"
            )
    for key, question in subject.knowledge.questions.items():
        for number, name in enumerate(question.fills):
            filled = subject.knowledge.facts.get(name)
            if filled is None or not filled.unit or not question.unit:
                continue
            try:
                fits = same_dimension(filled.unit, question.unit)
            except UnitError as fault:
                yield subject.fault("questions", key, ("unit",), str(fault))
                continue
            if not fits:
                what = f"asks in '{question.unit}', but '{name}' is in '{filled.unit}'"
                yield subject.fault("questions", key, ("fills", number), what)


def unasked_facts(subject: Subject) -> list[str]:
    """Facts that conditions read, yet no question asks for, the program does not fill and nothing is assumed for."""
    supplied = {fact for question in subject.knowledge.questions.values() for fact in question.fills}
    supplied |= {check.fact for check in subject.knowledge.checks.values()} | names_in_code()
    facts = subject.knowledge.facts
    read: set[str] = set()
    for _, _, _, text in _conditions(subject):
        with contextlib.suppress(ConditionError):
            read |= _compiled(text, None).names
    return sorted(
        name
        for name in read & set(facts) - supplied
        if not facts[name].derived and facts[name].assume is None
    )
