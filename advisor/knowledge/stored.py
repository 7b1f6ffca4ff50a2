"""Entries written as plain JSON and made again without checking them twice.

What was checked when it was read from YAML is not checked again when it comes out of the compiled copy:
an entry is put together straight from its values, and only once somebody asks for it.
"""

from __future__ import annotations

import json
import types
from collections.abc import Callable, Iterator, Mapping
from functools import cache, cached_property, partial
from typing import Annotated, Any, Union, cast, get_args, get_origin

from pydantic import BaseModel

from advisor.knowledge.yaml_text import Place

__all__ = ["StoredPlaces", "StoredTopic", "as_plain", "maker"]

Make = Callable[[Any], Any]


def as_plain(entry: BaseModel) -> dict[str, Any]:
    """The entry as JSON can hold it, without what is at its default."""
    return entry.model_dump(mode="json", exclude_defaults=True)


@cache
def maker(model: type[BaseModel]) -> Make:
    """The function that makes an entry of this model from what `as_plain` gave."""
    makes: list[tuple[str, Make]] = []
    defaults: dict[str, Any] = {}
    fresh: list[tuple[str, Callable[[], Any]]] = []
    for name, about in model.model_fields.items():
        if make := _make_of(about.annotation):
            makes.append((name, make))
        if about.default_factory is not None:
            fresh.append((name, cast("Callable[[], Any]", about.default_factory)))
        defaults[name] = None if about.is_required() else about.default  # keeps the fields in their order
    put = object.__setattr__

    def made(plain: dict[str, Any]) -> Any:
        values = {**defaults, **plain}
        for name, make in makes:
            if name in plain:
                values[name] = make(plain[name])
        for name, empty in fresh:
            if name not in plain:
                values[name] = empty()
        entry = model.__new__(model)
        put(entry, "__dict__", values)
        put(entry, "__pydantic_fields_set__", set(plain))
        put(entry, "__pydantic_extra__", None)
        put(entry, "__pydantic_private__", None)
        return entry

    return made


def _make_of(annotation: Any) -> Make | None:
    """How a value of this type is made from JSON; None where JSON already gives it as it should be."""
    origin, arguments = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _make_of(arguments[0])
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return maker(annotation)
    if origin is tuple:
        inner = _make_of(arguments[0])
        return tuple if inner is None else partial(_all_made, inner)
    if origin in (dict, Mapping):
        inner = _make_of(arguments[1])
        return None if inner is None else partial(_each_made, inner)
    if origin in (Union, types.UnionType):
        makes = [make for make in map(_make_of, arguments) if make is not None]
        if not makes:
            return None
        if len(makes) > 1:
            raise TypeError(f"cannot tell which of {annotation} a stored value is")
        make = makes[0]
        held = list if make is tuple else dict
        return lambda value: make(value) if isinstance(value, held) else value
    return None


def _all_made(make: Make, values: list[Any]) -> tuple[Any, ...]:
    return tuple([make(value) for value in values])


def _each_made(make: Make, values: dict[str, Any]) -> dict[str, Any]:
    return {key: make(value) for key, value in values.items()}


class StoredTopic(Mapping[str, Any]):
    """A topic of the compiled copy: its text is read when first looked at, an entry made when first asked for."""

    def __init__(self, model: type[BaseModel], text: bytes) -> None:
        self._model, self._text = model, text
        self._made: dict[str, Any] = {}

    @cached_property
    def _held(self) -> dict[str, Any]:
        held: dict[str, Any] = json.loads(self._text)
        return held

    def __getitem__(self, key: str) -> Any:
        if key not in self._made:
            self._made[key] = maker(self._model)(self._held[key])
        return self._made[key]

    def __contains__(self, key: object) -> bool:
        return key in self._held

    def __iter__(self) -> Iterator[str]:
        return iter(self._held)

    def __len__(self) -> int:
        return len(self._held)

    def __repr__(self) -> str:
        return f"StoredTopic({self._model.__name__}, {len(self)} entries)"


class StoredPlaces(Mapping[tuple[str, str], Place]):
    """Where each entry stands: the checker's and the tests' business, so read only when looked at."""

    def __init__(self, text: bytes) -> None:
        self._text = text

    @cached_property
    def _held(self) -> dict[tuple[str, str], Place]:
        return {(topic, key): Place(file, line) for topic, key, file, line in json.loads(self._text)}

    def __getitem__(self, key: tuple[str, str]) -> Place:
        return self._held[key]

    def __iter__(self) -> Iterator[tuple[str, str]]:
        return iter(self._held)

    def __len__(self) -> int:
        return len(self._held)
