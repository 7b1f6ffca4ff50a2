"""The condition language: what it means, what it refuses, and that nothing else gets through."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.reasoning.expressions import ConditionError, Kind, compile_condition, neighbours

TRUTH = st.sampled_from([True, False, None])


def truth(text: str, **facts: object) -> bool | None:
    return compile_condition(text)(facts)


@pytest.mark.parametrize(
    ("text", "facts", "expected"),
    [
        ("space_ratio < 1", {"space_ratio": 0.999}, True),
        ("space_ratio < 1", {"space_ratio": 1}, False),
        ("space_ratio < 1", {}, None),
        ("space_ratio < 1", {"space_ratio": None}, None),
        ("0.2 <= x < 0.5", {"x": 0.2}, True),
        ("0.2 <= x < 0.5", {"x": 0.5}, False),
        ("1 < x < y", {"x": 0}, False),  # settled without y
        ("1 < x < y", {"x": 2}, None),
        ("'sheep' in species and grain_in_bed", {"species": ["sheep"], "grain_in_bed": True}, True),
        ("'sheep' in species and grain_in_bed", {"species": ("cattle",)}, False),
        ("'sheep' in species and grain_in_bed", {"grain_in_bed": True}, None),
        ("'sheep' not in species", {"species": []}, True),
        ("'sheep' not in species", {}, None),
        ("kind in species", {"species": []}, False),  # an empty list holds nothing, whatever kind is
        ("turned_by in ['pigs', 'hens']", {"turned_by": "hens"}, True),
        ("turned_by not in ['pigs', 'hens']", {"turned_by": "fork"}, True),
        ("turned_by in ['pigs', other]", {"turned_by": "pigs"}, True),
        ("turned_by in ['pigs', other]", {"turned_by": "fork"}, None),
        ("turned_by in []", {}, False),
        ("x in [1, 2]", {"x": 2.0}, True),
        ("roof != 'open'", {"roof": "roofed"}, True),
        ("a == b", {"a": "x", "b": "x"}, True),
        ("flag == true", {"flag": True}, True),
        ("flag == False", {"flag": True}, False),
        ("x + 2 * y - 1 > -z / 2", {"x": 1, "y": 1, "z": 2}, True),
        ("-(-x) == 3", {"x": 3}, True),
        ("x / y > 1", {"x": 1, "y": 0}, None),
        ("max(a, b) - min(a, b) >= 3 and abs(a) == 1", {"a": -1, "b": 2}, True),
        ("max(a, b) > 3", {"a": 9}, None),
        ("known(x)", {"x": 0}, True),
        ("not known(x)", {}, True),
        ("known(x) and x > 3", {"x": None}, False),
        ("true", {}, True),
        ("False or false", {}, False),
        ("  \n a\n and b ", {"a": True, "b": True}, True),
        ("(((a)))", {"a": False}, False),
    ],
)
def test_meaning(text: str, facts: dict[str, object], expected: bool | None) -> None:
    assert compile_condition(text)(facts) is expected


@pytest.mark.parametrize(
    ("text", "facts"),
    [
        ("x < 1", {"x": "two"}),
        ("x < 1", {"x": True}),
        ("x < 1", {"x": math.nan}),
        ("x < 1", {"x": 10**400}),
        ("x == 'a'", {"x": 3}),
        ("x", {"x": 1}),
        ("x", {"x": "yes"}),
        ("not x", {"x": []}),
        ("'a' in x", {"x": "abc"}),
        ("y in x", {"x": ["a"], "y": True}),
        ("x * x > 1", {"x": 1e300}),
    ],
)
def test_a_fact_of_the_wrong_kind_is_not_known(text: str, facts: dict[str, object]) -> None:
    assert compile_condition(text)(facts) is None


@pytest.mark.parametrize(
    ("text", "column", "part"),
    [
        ("", 1, "no condition"),
        (" \t ", 1, "no condition"),
        ("a and b.c", 7, "dots"),
        ("a and x[0]", 7, "square brackets"),
        ("  a and x[0]", 9, "square brackets"),
        ("a or 'é' == b.c", 13, "dots"),
        ("a if b else c", 1, "if and else"),
        ("x ** 2 > 1", 1, "not part"),
        ("x // 2 > 1", 1, "not part"),
        ("x % 2 > 1", 1, "not part"),
        ("+x > 1", 1, "not part"),
        ("~x > 1", 1, "not part"),
        ("lambda: 1", 1, "not part"),
        ("[x for x in y]", 1, "not part"),
        ("x in (1, 2)", 6, "after in"),
        ("x in {1, 2}", 6, "after in"),
        ("x in 'abc'", 6, "after in"),
        ("x == [1]", 6, "a list may stand only"),
        ("[1] in y", 1, "a list may stand only"),
        ("(a < 1) in y", 2, "only a word or a number"),
        ("f'{x}' == y", 1, "f-strings"),
        ("(x := 1) > 0", 2, ":="),
        ("b'a' == x", 1, "only finite"),
        ("1j == x", 1, "only finite"),
        ("... == x", 1, "only finite"),
        ("None == x", 1, "only finite"),
        ("x < 1e999", 5, "only finite"),
        ("x is y", 1, "use =="),
        ("'a' * 9999999 == x", 1, "a word where a number"),
        ("x < 'a'", 5, "a word where a number"),
        ("1 == 'a'", 6, "a word cannot equal a number"),
        ("x in [1, 'a'] and 1 in ['a']", 25, "cannot equal"),
        ("x + 1", 1, "a number where a yes or no"),
        ("'a'", 1, "a word where a yes or no"),
        ("not 3", 5, "a number where a yes or no"),
        ("a < 1 < 'b'", 9, "a word where a number"),
        ("(a < 1) + 1 > 0", 2, "a yes or no where a number"),
        ("open(x)", 1, "no function"),
        ("x.y(1)", 1, "not part"),
        ("known(1)", 1, "known() takes"),
        ("known(true)", 1, "known() takes"),
        ("known(a, b)", 1, "known() takes"),
        ("known(a=b)", 1, "not part"),
        ("min(1) < 2", 1, "two numbers"),
        ("abs(1, 2) < 2", 1, "one number"),
        ("min(*x) < 2", 1, "two numbers"),
        ("max(1, *x) < 2", 8, "not part"),
        ("a # and b", 3, "comment"),
        ("a and", 6, "not readable"),
        ("a) or (b", 2, "not readable"),
        ("a; b", 2, "not readable"),
        ("1if a", 1, "not readable"),
        ("a\0b", 2, "NUL"),
        ("x < 0" + "9" * 390, 5, "not readable"),
        ("x < " + "9" * 390, 5, "only finite"),
        ("\ud800", 1, "not readable"),
        ("-" * 30 + "x > 1", 20, "nested deeper"),
        ("not " * 30 + "x", 81, "nested deeper"),
        ("(" * 190 + "x" + ")" * 190, 0, ""),
        ("x" + " or x" * 79, 0, ""),
        ("x in [" + "1," * 120 + "]", 1, "more than 100 parts"),
        ("x" * 401, 400, "longer than 400"),
        ("-" * 5000 + "1", 400, "longer than 400"),
    ],
)
def test_refused_with_the_column(text: str, column: int, part: str) -> None:
    if column == 0:  # brackets are not depth, and 400 characters are enough for these
        assert compile_condition(text)({"x": True}) is True
        return
    with pytest.raises(ConditionError) as caught:
        compile_condition(text)
    assert part in caught.value.message
    assert caught.value.column == column
    assert str(column) in str(caught.value)


KINDS: dict[str, Kind] = {
    "space_ratio": "number",
    "species": "list",
    "roof": "text",
    "wet": "flag",
    "start": "date",
}


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("space_rato < 1", "did you mean 'space_ratio'?"),
        ("zzz", "no fact is called 'zzz'"),
        ("known(zzz)", "no fact"),
        ("roof < 1", "a word where a number"),
        ("roof", "a word where a yes or no"),
        ("wet == 'yes'", "a word cannot equal a yes or no"),
        ("species == 'sheep'", "a list cannot be compared"),
        ("'sheep' in roof", "'roof' is a word, not a list"),
        ("start == 'monday'", "a date cannot be compared"),
        ("wet + 1 > 0", "a yes or no where a number"),
    ],
)
def test_kinds_are_checked_when_given(text: str, part: str) -> None:
    with pytest.raises(ConditionError, match=part.replace("?", r"\?")):
        compile_condition(text, KINDS)
    assert compile_condition("'sheep' in species and wet and not known(start)", KINDS)({}) is None


def test_names_are_those_of_facts_only() -> None:
    condition = compile_condition(" min(a, b) < c and known(d) or true or e in ['f'] ")
    assert condition.names == {"a", "b", "c", "d", "e"}
    assert condition.text == "min(a, b) < c and known(d) or true or e in ['f']"


# --- Kleene's laws -------------------------------------------------------------------------------


@given(TRUTH, TRUTH, TRUTH)
def test_kleene_laws(a: bool | None, b: bool | None, c: bool | None) -> None:
    def same(one: str, other: str) -> None:
        assert truth(one, a=a, b=b, c=c) is truth(other, a=a, b=b, c=c), (one, other)

    same("a and b", "b and a")
    same("a or b", "b or a")
    same("not (a and b)", "not a or not b")
    same("not (a or b)", "not a and not b")
    same("not (not a)", "a")
    same("a and (b or c)", "a and b or a and c")
    same("a or b and c", "(a or b) and (a or c)")
    same("a and (a or b)", "a")
    same("a and true", "a")
    same("a and false", "false")
    same("a or true", "true")


def expressions(depth: int = 3) -> st.SearchStrategy[str]:
    number = st.one_of(st.sampled_from(["x", "y", "0", "1", "2.5", "-1"]))
    leaf = st.one_of(
        st.sampled_from(["p", "q", "true", "t == 'u'", "t in ['u', 'v']", "'u' in l", "x < y < 2"]),
        st.builds("{} {} {}".format, number, st.sampled_from(["<", "<=", ">", ">=", "==", "!="]), number),
        st.builds("{} {} {} < y".format, number, st.sampled_from(["+", "-", "*", "/"]), number),
    )
    return st.recursive(
        leaf,
        lambda inner: st.one_of(
            inner.map("not ({})".format),
            st.builds("({}) {} ({})".format, inner, st.sampled_from(["and", "or"]), inner),
        ),
        max_leaves=6,
    )


FACTS = st.fixed_dictionaries(
    {
        "p": st.booleans(),
        "q": st.booleans(),
        "x": st.sampled_from([-1, 0, 1, 2, 2.5]),
        "y": st.sampled_from([-1, 0, 1, 2, 2.5]),
        "t": st.sampled_from(["u", "v", "w"]),
        "l": st.lists(st.sampled_from(["u", "v"])),
    }
)


@given(expressions(), FACTS, st.sets(st.sampled_from("pqxytl")))
def test_learning_more_never_changes_a_settled_answer(
    text: str, facts: dict[str, object], hidden: set[str]
) -> None:
    condition = compile_condition(text)
    early = condition({name: value for name, value in facts.items() if name not in hidden})
    assert early is None or early is condition(facts)


@given(expressions(), FACTS)
def test_complete_facts_give_what_python_gives(text: str, facts: dict[str, object]) -> None:
    try:
        expected = bool(eval(text, {"__builtins__": {}, "true": True}, facts))
    except ZeroDivisionError:
        return
    assert compile_condition(text)(facts) in (expected, None)
    if "/" not in text:
        assert compile_condition(text)(facts) is expected


ANY_FACT = st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(), st.lists(st.text()))


@given(expressions(), st.dictionaries(st.sampled_from("pqxytl"), ANY_FACT))
def test_no_facts_make_it_raise(text: str, facts: dict[str, object]) -> None:
    assert compile_condition(text)(facts) in (True, False, None)


WORDS = "a b 1 2. 'x' ( ) [ ] , < <= == != in not and or + - * / ** . : = if else lambda f'{a}' known min #"
TOKENS = st.lists(st.sampled_from([*WORDS.split(), "\n", "\\", "True", "None"]), max_size=30).map(" ".join)


@given(st.one_of(st.text(max_size=450), TOKENS))
def test_nothing_but_condition_error_escapes(text: str) -> None:
    try:
        condition = compile_condition(text)
    except ConditionError as error:
        column = error.column
    else:
        assert condition({}) in (True, False, None)
        column = 1
    assert 1 <= column <= len(text) + 1


# --- neighbours ----------------------------------------------------------------------------------


def reached(text: str, **choices: list[str]) -> set[bool | None]:
    condition = compile_condition(text)
    return {condition(facts) for facts in neighbours(condition, choices=choices)}


@pytest.mark.parametrize(
    "text",
    [
        "space_ratio < 1",
        "0.2 <= x < 0.5",
        "top > limit",
        "a / b < 2 and flag",
        "x > -3 and x < -2.9",
        "min(a, b) >= 4",
        "'sheep' in species and 'goats' in species and not ('pigs' in species)",
        "turned_by == 'pigs' and roof != 'open'",
        "turned_by not in ['pigs', 'hens']",
        "flag == false or known(x) and x > 2",
    ],
)
def test_neighbours_reach_both_sides(text: str) -> None:
    assert {True, False} <= reached(text)


def test_neighbours_show_what_never_fires() -> None:
    assert reached("x > 3 and x < 2") == {False}
    assert True not in reached("a == 'b' and a == 'c'")


def test_neighbours_lie_just_beside_the_threshold() -> None:
    tried = [float(str(facts["x"])) for facts in neighbours(compile_condition("x > 10"))]
    assert tried == [pytest.approx(10, abs=1e-4)] * 3
    assert tried == sorted(set(tried))


def test_neighbours_of_two_conditions_find_where_they_meet() -> None:
    one, other = compile_condition("x < 3"), compile_condition("x > 2")
    assert any(one(facts) and other(facts) for facts in neighbours(one, other))
    other = compile_condition("x >= 3")
    assert not any(one(facts) and other(facts) for facts in neighbours(one, other))


def test_neighbours_tell_facts_only() -> None:
    rows = list(neighbours(compile_condition("(true or x) and min(y, 1) < 2 and flag == false")))
    assert {tuple(sorted(row)) for row in rows} == {("flag", "x", "y")}


def test_neighbours_use_the_choices_and_the_unknown() -> None:
    condition = compile_condition("turned_by == 'pigs' or not known(days)")
    rows = list(neighbours(condition, choices={"turned_by": ["pigs", "fork"]}))
    assert {row["turned_by"] for row in rows} == {"pigs", "fork"}
    assert None in {row["days"] for row in rows}
