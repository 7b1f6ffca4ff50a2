"""The reasoning: a quantity is a pure function whose parameter names are the facts it needs.

From those names alone come the order of working, the explanation tree, the missing facts and what
matters most. A name is looked for, in this order: told for the subject or what it belongs to; worked
out by a derivation; a property of the animal class or material; a figure of the knowledge base.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal

import numpy as np

from advisor.knowledge import Figure, Knowledge
from advisor.reasoning.draws import Draws, Numbers, spread

__all__ = ["Derivation", "Derivations", "Engine", "Missing", "Node", "Subject", "Told", "Topology"]

Kind = Literal["farm", "pen", "group", "material"]
Subject = tuple[Kind, str]
FARM: Subject = ("farm", "")


class Missing(Exception):
    """A fact that is needed, not told, and has nothing to be assumed from."""

    def __init__(self, name: str, subject: Subject) -> None:
        self.name, self.subject = name, subject
        super().__init__(f"{name} of {subject[0]} {subject[1]}".rstrip())


@dataclass(frozen=True)
class Told:
    """A fact with its provenance. Numbers may carry a range."""

    value: Any
    low: float | None = None
    high: float | None = None
    said: str = ""
    how: Literal["told", "measured", "looked_up"] = "told"
    figure: Figure | None = None
    label: str = ""


@dataclass(frozen=True)
class Derivation:
    """A pure function with what it is called, what it is per and the unit of its answer."""

    name: str
    function: Callable[..., Any]
    per: Kind
    unit: str
    label: str
    basis: str
    parameters: tuple[str, ...]

    @property
    def says(self) -> str:
        """The equation in words: the first paragraph of the docstring."""
        text = inspect.getdoc(self.function) or ""
        return " ".join(text.split("\n\n")[0].split())

    @property
    def source(self) -> str:
        """The 'Source:' line of the docstring."""
        for line in (inspect.getdoc(self.function) or "").splitlines():
            if line.startswith("Source:"):
                return line.removeprefix("Source:").strip()
        return ""


class Derivations:
    """The derivations of the adviser, registered by decorating their functions."""

    def __init__(self) -> None:
        self.by_name: dict[str, Derivation] = {}

    def __call__(
        self, per: Kind, unit: str, label: str, basis: str = ""
    ) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
        """Register a function as the way to work out the quantity it is named after."""

        def register(function: Callable[..., Any]) -> Callable[..., Any]:
            name = function.__name__
            if name in self.by_name:
                raise ValueError(f"'{name}' is worked out in two places")
            parameters = tuple(inspect.signature(function).parameters)
            self.by_name[name] = Derivation(name, function, per, unit, label, basis, parameters)
            return function

        return register


_RANKED = 501


@dataclass(eq=False)
class Node:
    """A value with the tree that made it. Explanations, tests and reports all read this one tree."""

    name: str
    subject: Subject
    label: str
    unit: str
    value: Any
    kind: Literal["told", "assumed", "figure", "derived", "given"]
    inputs: tuple[Node, ...] = field(
        default=(), repr=False
    )  # shared below: printed in full it would never end
    figure: Figure | None = None
    derivation: Derivation | None = None
    said: str = ""

    @property
    def is_number(self) -> bool:
        """Whether the value is a number or an array of draws."""
        return isinstance(self.value, (int, float, np.ndarray)) and not isinstance(self.value, bool)

    def spread(self) -> tuple[float, float, float]:
        """(low, median, high) of the value."""
        return self._spread

    @cached_property
    def _spread(self) -> tuple[float, float, float]:
        return spread(self.value)

    @cached_property
    def ranks(self) -> Numbers | None:
        """Ranks of the draws (a few hundred are plenty for a share); None where all are alike or there are none."""
        return _ranks(self.value[1:_RANKED]) if isinstance(self.value, np.ndarray) else None

    def walk(self) -> Iterable[Node]:
        """This node and everything under it, each once."""
        seen: set[int] = set()
        todo = [self]
        while todo:
            node = todo.pop()
            if id(node) not in seen:
                seen.add(id(node))
                yield node
                todo.extend(node.inputs)


@dataclass(frozen=True)
class Topology:
    """What belongs to what on this farm."""

    group_pen: Mapping[str, str]
    group_class: Mapping[str, str]
    pens: tuple[str, ...]
    materials: Mapping[str, str] = field(default_factory=dict)  # material subject -> knowledge id

    def parent(self, subject: Subject) -> Subject | None:
        """The subject above: a group's pen, a pen's or material's farm."""
        kind, key = subject
        if kind == "group":
            return ("pen", self.group_pen[key])
        return None if kind == "farm" else FARM

    def children(self, subject: Subject, kind: str) -> tuple[Subject, ...]:
        """The subjects of a kind under this one."""
        if kind == "group":
            return tuple(
                ("group", group)
                for group, pen in self.group_pen.items()
                if subject[0] == "farm" or subject[1] == pen
            )
        if kind == "pen":
            return tuple(("pen", pen) for pen in self.pens)
        return tuple(("material", key) for key in self.materials)


class Engine:
    """Works out quantities for one farm with one set of draws; everything asked once is kept."""

    def __init__(
        self,
        knowledge: Knowledge,
        topology: Topology,
        told: Mapping[Subject, Mapping[str, Told]],
        derivations: Derivations,
        draws: Draws,
        given: Mapping[str, Any] | None = None,
    ) -> None:
        self.knowledge, self.topology, self.told = knowledge, topology, told
        self.derivations, self.draws = derivations, draws
        self.given = dict(given or {})
        self._nodes: dict[tuple[str, Subject], Node] = {}
        self._busy: list[tuple[str, Subject]] = []

    def value(self, name: str, subject: Subject = FARM) -> Any:
        """The value of a quantity. Raises Missing where something needed is not known."""
        return self.node(name, subject).value

    def node(self, name: str, subject: Subject = FARM) -> Node:
        """The value with its tree. Raises Missing."""
        key = (name, subject)
        if key not in self._nodes:
            if key in self._busy:
                chain = " -> ".join(f"{n}" for n, _ in [*self._busy, key])
                raise RuntimeError(f"going round in circles: {chain}")
            self._busy.append(key)
            try:
                self._nodes[key] = self._find(name, subject)
            finally:
                self._busy.pop()
        return self._nodes[key]

    def put(self, name: str, subject: Subject, value: Any) -> None:
        """Give a quantity of one subject from outside; what was already worked out from it stays as it is."""
        together = f"each_{subject[0]}_{name}"
        self._nodes = {key: node for key, node in self._nodes.items() if key[0] != together}
        known = self.derivations.by_name.get(name)
        label, unit = (known.label, known.unit) if known else (name.replace("_", " "), "")
        self._nodes[(name, subject)] = Node(name, subject, label, unit, value, "given")

    def leaves(self) -> list[Node]:
        """Every told, assumed or looked-up number met so far that has a range."""
        return [n for n in self._nodes.values() if not n.inputs and isinstance(n.value, np.ndarray)]

    def met(self) -> list[Node]:
        """Every node worked out so far."""
        return list(self._nodes.values())

    def _find(self, name: str, subject: Subject) -> Node:
        if name in self.given:
            return Node(name, FARM, name.replace("_", " "), "", self.given[name], "given")
        if name.startswith("each_"):
            return self._each(name, subject)
        if name.startswith("range_of_"):
            base = self.node(name.removeprefix("range_of_"), subject)
            ends = (base.figure.low, base.figure.high) if base.figure else (base.value, base.value)
            return Node(
                name, subject, f"{base.label} (ends of its range)", base.unit, ends, "derived", (base,)
            )
        above: Subject | None = subject
        while above is not None:
            if name in self.told.get(above, {}):
                return self._told(name, above)
            above = self.topology.parent(above)
        derivation = self.derivations.by_name.get(name)
        if derivation is not None:
            return self._derived(derivation, subject)
        for prefix, kind in (("class_", "group"), ("material_", "material")):
            if name.startswith(prefix) and subject[0] == kind:
                found = self._property(name, name.removeprefix(prefix), subject)
                if found is not None:
                    return found
        fact = self.knowledge.facts.get(name)
        if fact is not None and fact.assume is not None:
            return self._assumed(name, fact, self._own(subject, fact.per))
        if name in self.knowledge.figures:
            node = self._figure(name, subject)
            node.kind = "assumed" if fact is not None else "figure"
            return node
        raise Missing(name, subject)

    def _own(self, subject: Subject, per: str) -> Subject:
        """The subject, or the one above it, that a fact of this kind belongs to."""
        above: Subject | None = subject
        while above is not None and above[0] != per:
            above = self.topology.parent(above)
        return above or subject

    def _each(self, name: str, subject: Subject) -> Node:
        kind, _, rest = name.removeprefix("each_").partition("_")
        nodes = tuple(self.node(rest, child) for child in self.topology.children(subject, kind))
        label = f"{nodes[0].label} (each)" if nodes else rest
        unit = nodes[0].unit if nodes else ""
        return Node(name, subject, label, unit, tuple(node.value for node in nodes), "derived", nodes)

    def _told(self, name: str, subject: Subject) -> Node:
        told = self.told[subject][name]
        fact = self.knowledge.facts.get(name)
        derivation = self.derivations.by_name.get(name)
        known = fact.label if fact else derivation.label if derivation else name.replace("_", " ")
        label = told.label or known
        looked_up = told.figure.unit if told.figure else ""
        unit = fact.unit if fact else derivation.unit if derivation else looked_up
        value = told.value
        if told.low is not None and told.high is not None:
            value = self.draws.triangular(
                f"{subject[0]}:{subject[1]}:{name}", told.low, told.value, told.high
            )
        kind: Literal["told", "assumed"] = "assumed" if told.how == "looked_up" else "told"
        return Node(name, subject, label, unit, value, kind, figure=told.figure, said=told.said)

    def _derived(self, derivation: Derivation, subject: Subject) -> Node:
        own = self._own(subject, derivation.per)
        if own[0] != derivation.per:
            raise Missing(derivation.name, subject)
        if own != subject:
            return self.node(derivation.name, own)
        inputs = tuple(self.node(parameter, own) for parameter in derivation.parameters)
        value = derivation.function(*(node.value for node in inputs))
        return Node(
            derivation.name,
            own,
            derivation.label,
            derivation.unit,
            value,
            "derived",
            inputs,
            derivation=derivation,
        )

    def _property(self, name: str, field_name: str, subject: Subject) -> Node | None:
        if subject[0] == "group":
            entry: Any = self.knowledge.animals[self.topology.group_class[subject[1]]]
        else:
            entry = self.knowledge.materials[self.topology.materials[subject[1]]]
        if not hasattr(entry, field_name):
            return None
        figure = getattr(entry, field_name)
        if not isinstance(figure, Figure):
            return Node(
                name, subject, f"{field_name.replace('_', ' ')} of {entry.name}", "", figure, "figure"
            )
        key = f"{subject[0]}:{entry.name}:{field_name}"
        return self._of_figure(name, subject, f"{field_name.replace('_', ' ')} of {entry.name}", figure, key)

    def _figure(self, name: str, subject: Subject, label: str = "") -> Node:
        entry = self.knowledge.figures[name]
        figure, variant = entry.figure, ""
        for number, case in enumerate(entry.cases):
            wanted = {k: getattr(case, k) for k in ("species", "management", "family", "climate")}
            if all(not v or self._situation(k, subject) in v for k, v in wanted.items()):
                figure, variant = case.figure, str(number)
                break
        if figure is None:
            raise Missing(name, subject)
        return self._of_figure(
            name, subject, label or entry.label, figure.to(entry.si), f"figure:{name}:{variant}"
        )

    def _of_figure(self, name: str, subject: Subject, label: str, figure: Figure, key: str) -> Node:
        value = self.draws.triangular(key, figure.low, figure.value, figure.high)
        return Node(name, subject, label, figure.unit, value, "figure", figure=figure)

    def _situation(self, word: str, subject: Subject) -> Any:
        """The fact that a figure's variants are chosen by, as it stands for this subject."""
        species = {"group": "class_species", "pen": "main_species"}.get(subject[0], "farm_species")
        try:
            return self.value({"species": species, "family": "material_family"}.get(word, word), subject)
        except Missing:
            return None

    def _assumed(self, name: str, fact: Any, subject: Subject) -> Node:
        source = fact.assume
        if isinstance(source, str) and (
            source.startswith(("class_", "material_")) or source in self.knowledge.figures
        ):
            base = self.node(source, subject)
            return Node(name, subject, fact.label, fact.unit, base.value, "assumed", figure=base.figure)
        return Node(name, subject, fact.label, fact.unit, source, "assumed")


def importance(result: Numbers | float, leaves: Iterable[Node]) -> list[tuple[Node, float]]:
    """First-order share of each leaf in the spread of a result, largest first.

    Squared correlation of ranks over the same draws; shares below one part in a hundred are dropped.
    """
    if not isinstance(result, np.ndarray) or result.size < 20:
        return []
    target = _ranks(result[1:_RANKED])
    if target is None:
        return []
    found: list[tuple[Node, float]] = []
    seen: set[int] = set()
    for leaf in leaves:
        if id(leaf.value) in seen:
            continue
        seen.add(id(leaf.value))
        ranks = leaf.ranks
        if ranks is not None:
            share = float(np.dot(target, ranks)) ** 2
            if share >= 0.01:
                found.append((leaf, share))
    # Chance likeness between a few hundred draws can bring the sum above the whole.
    whole = max(1.0, sum(share for _, share in found))
    return sorted(((leaf, share / whole) for leaf, share in found), key=lambda pair: -pair[1])


def _ranks(values: Numbers) -> Numbers | None:
    """Ranks, centred and of unit length; None where all values are alike."""
    if float(np.ptp(values)) <= 1e-12 * float(np.abs(values).max(initial=0.0)):
        return None
    ranks = np.empty(values.size)
    ranks[np.argsort(values, kind="stable")] = np.arange(values.size, dtype=float)
    ranks -= ranks.mean()
    unit: Numbers = ranks / np.sqrt(np.dot(ranks, ranks))
    return unit
