"""A trouble in the conversation: what is found joins case, plan and season, and nobody is left without help."""

from __future__ import annotations

import datetime as dt
import io
from pathlib import Path

import pytest

from advisor.casebook import Case, Casebook, new_case
from advisor.cli import main
from advisor.dialogue.context import Context
from advisor.dialogue.draft import draft_of
from advisor.dialogue.hearing import Ears
from advisor.dialogue.reply import Reply
from advisor.dialogue.troubles import found_lines, plan_section
from advisor.dialogue.turn import turn
from advisor.knowledge import Knowledge
from advisor.plan.document import Paragraph, Points

TODAY = dt.date(2027, 2, 3)
FARM = (
    "14 suckler cows",
    "12 m x 8 m",
    "in 10 Nov, out 20 April",
    "90 round bales of barley straw, 250 kg each",
)


@pytest.fixture(scope="module")
def context(known: Knowledge) -> Context:
    ears = Ears(known)
    return Context(known, TODAY, ears.listen, ears.answer, ears.in_passing, draws=20)


def talk(context: Context, *messages: str) -> tuple[Case, list[Reply]]:
    case = new_case("invented", TODAY, "animals")
    replies = []
    for message in messages:
        case, reply, _ = turn(case, message, context)
        replies.append(reply)
    return case, replies


def remedy_in(reply: Reply) -> bool:
    text = reply.text()
    return "What to do:" in text and "Today:" in text


def test_what_was_found_stands_in_the_plan_until_it_is_mended(context: Context) -> None:
    case, replies = talk(context, "14 suckler cows", "12 m x 8 m", "it is sopping wet by the trough")
    assert remedy_in(replies[-1])
    section = plan_section(draft_of(case), context)
    assert section is not None
    said: list[str] = []
    for block in section.blocks:
        said += [block.text] if isinstance(block, Paragraph) else []
        said += block.items if isinstance(block, Points) else []
    assert "wet by the drinker" in said[0]
    assert any(text.startswith("Water the leak lets go: about 40 litres") for text in said)
    case, _, _ = turn(case, "the drinker is mended now", context)
    assert plan_section(draft_of(case), context) is None
    assert found_lines(draft_of(case), context) == []


@pytest.mark.slow
def test_plan_and_week_say_what_was_found(context: Context) -> None:
    _, replies = talk(context, *FARM, "it is sopping wet by the trough", "plan", "what should I do this week")
    for reply in replies[-2:]:
        assert "a leaking or splashing drinker" in reply.text()


def test_a_look_that_tells_a_fact_sets_it_for_the_plan(context: Context) -> None:
    case, replies = talk(context, FARM[0], "the roof drips all over in the morning")
    assert draft_of(case).at("facts.condensation") is True
    assert "For the plan I note" in replies[-1].text()


@pytest.mark.parametrize(
    "messages",
    [
        ("my bed is kind of wet and smelly", "dunno", "dunno", "dunno"),  # vague
        (
            "OMG HELP they are all coughing and everything is soaked!!!",
            "I don't know, just tell me what to do",
        ),
        ("my bed stinks of ammonia", "I have no thermometer and cannot look", "can't check", "can't check"),
        ("the muck heap is cold", "no idea", "can't check that", "no way to tell"),
    ],
)
def test_who_cannot_check_anything_is_told_what_to_do(context: Context, messages: tuple[str, ...]) -> None:
    assert any(remedy_in(reply) for reply in talk(context, *messages)[1])


def test_why_gives_reasons_and_what_would_change_them(context: Context) -> None:
    _, replies = talk(context, "the bed is wet and they are filthy", "why")
    text = replies[-1].text()
    assert "For it:" in text
    assert "What would change this:" in text


def test_a_heap_is_not_mixed_up_with_the_pen(context: Context) -> None:
    case, _ = talk(context, "it is wet by the trough", "my compost heap is cold and won't heat")
    assert "wet_by_drinker" not in (draft_of(case).trouble or {})


def test_the_bed_is_not_taken_for_garden_beds(context: Context) -> None:
    case, _ = talk(context, "30 ewes", "rotten eggs smell when I fork the bed")
    assert (draft_of(case).trouble or {})["where_is_it"] == "bed"


def test_another_look_told_instead_is_taken(context: Context) -> None:
    case, replies = talk(
        context, "it stings my eyes in there and the bed is wet", "it is mostly shut up for the cold"
    )
    assert (draft_of(case).trouble or {})["openings"] == "shut"
    assert "too little air, so that moisture stays in, is now" in replies[-1].text()


@pytest.mark.slow
def test_a_case_gives_its_own_numbers(
    context: Context, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("BYREWISE_HOME", str(tmp_path))
    monkeypatch.setattr("sys.stdin", io.StringIO("\n".join(FARM) + "\n"))
    with pytest.raises(SystemExit):
        main(["chat", "--case", "north", "--today", TODAY.isoformat()])
    assert Casebook().read("north").case.events
    capsys.readouterr()
    with pytest.raises(SystemExit) as left:
        main(
            [
                "diagnose",
                "wet all over, we bed less than planned",
                "--case",
                "north",
                "--today",
                TODAY.isoformat(),
            ]
        )
    out, _ = capsys.readouterr()
    assert not left.value.code
    assert "round bales" in out  # its bales
    assert "for each square metre" not in out  # its floor
    assert "What it does to the season" in out
