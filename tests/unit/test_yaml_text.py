"""The traps of YAML 1.1, each closed, and the line of every fault."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.knowledge.yaml_text import Place, parse_yaml


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("25:1", "25:1"),  # YAML 1.1 reads 1501
        ("1:30", "1:30"),
        ("no", "no"),
        ("on", "on"),
        ("yes", "yes"),
        ("012", 12),  # YAML 1.1 reads 10
        ("1e3", 1000.0),  # YAML 1.1 reads text
        ("2026-11-05", "2026-11-05"),
        ("1_000", "1_000"),
        ("true", True),
        ("~", None),
        ("-3.5", -3.5),
        ("'7'", "7"),
    ],
)
def test_reads_scalars_as_people_mean_them(text: str, value: object) -> None:
    read = parse_yaml(f"a: {text}", "f.yaml")
    assert read.faults == []
    assert read.data == {"a": value}
    assert type(read.data["a"]) is type(value)


def test_says_the_line_of_a_key_written_twice() -> None:
    read = parse_yaml("a: 1\nb: 2\na: 3\n", "f.yaml")
    assert [fault.place for fault in read.faults] == [Place("f.yaml", 3)]
    assert "first on line 1" in read.faults[0].what


def test_refuses_aliases_and_broken_text_with_a_line() -> None:
    assert parse_yaml("a: &x 1\nb: *x\n", "f.yaml").faults
    assert parse_yaml("a: 1\n b: 2\n", "f.yaml").faults[0].place.line == 2


def test_python_objects_cannot_be_built() -> None:
    read = parse_yaml("a: !!python/object/apply:os.system ['true']", "f.yaml")
    assert not callable(read.data["a"])


@given(st.text(max_size=200))
def test_never_raises(text: str) -> None:
    parse_yaml(text, "f.yaml")
