"""Any number can be opened, level by level, down to what was told or published."""

from __future__ import annotations

import pytest

from advisor.dialogue.agenda import ask_of
from advisor.dialogue.asking import narrowing_words, why_lines
from advisor.dialogue.draft import draft_of
from advisor.dialogue.explain import open_node, under
from advisor.dialogue.narrowing import narrowings
from advisor.reasoning.engine import Node
from tests.dialogue.talking import FARMS, Talk, context

TEN = (
    "bedding_total_kg", "space_ratio", "top_moisture_worst", "pack_end_c_to_n", "pack_end_depth_m",
    "pack_end_nitrogen_kg", "compost_mass_kg", "ammonia_ppm", "air_least_m3_h", "land_area_ha",
)  # fmt: skip


@pytest.fixture(scope="module")
def talk() -> Talk:
    return Talk(*FARMS["suckler cows"], "none")


@pytest.mark.parametrize("name", TEN)
def test_ten_numbers_open_down_to_their_sources(talk: Talk, name: str) -> None:
    plan = context().plan(draft_of(talk.case))
    assert plan is not None
    root = plan.results[name]
    assert root is not None
    seen: set[int] = set()
    todo: list[Node] = [root]
    leaves = cited = 0
    while todo:
        node = todo.pop()
        if id(node) in seen:
            continue
        seen.add(id(node))
        opened = open_node(node, plan.knowledge, "metric")
        assert opened.lines[0].text
        if node.figure is not None:
            assert any(line.role == "source" for line in opened.lines), node.name
            cited += bool(opened.sources)
        if not under(node):
            leaves += 1
            said = " ".join(line.text for line in opened.lines[1:])
            assert said, f"{node.name} stops without saying where it comes from"
        todo += under(node)
    assert leaves > 3
    assert cited > 1


def test_how_goes_down_by_the_number_of_the_line(talk: Talk) -> None:
    copy = Talk()
    copy.case = talk.case
    copy.say("how did you get the bedding", "how 2")
    assert "bedding laid as the base" in copy.heard("answer")
    copy.say("how 1")
    assert "depth of the base" in copy.heard("answer")
    copy.say("how 1")
    assert "assumed" in copy.heard()
    assert "AHDB" in copy.heard("source")
    copy.say("how 1")
    assert "only 0 lines" in copy.heard()


def test_sure_and_source(talk: Talk) -> None:
    copy = Talk()
    copy.case = talk.case
    copy.say("how did you get the bedding", "sure")
    assert "of the range comes from" in copy.heard("point")
    copy.say("source")
    assert copy.reply is not None
    assert len(copy.reply.sources) >= 3


def test_why_says_what_the_answer_would_narrow(talk: Talk) -> None:
    ask = ask_of("bale_mass:barley_straw", draft_of(talk.case), context().knowledge)
    assert ask is not None
    words = " ".join(line.text for line in why_lines(ask, draft_of(talk.case), context()))
    assert "Knowing it would narrow" in words
    assert "bedding on hand" in words


def test_the_next_question_is_the_one_that_narrows_most(talk: Talk) -> None:
    from advisor.dialogue.agenda import open_asks

    draft = draft_of(talk.case)
    found = narrowings(open_asks(draft, context().knowledge), draft, context())
    assert talk.asks is not None
    assert found[talk.asks].score == max(each.score for each in found.values())
    assert narrowing_words(found[talk.asks], draft, context())


def test_every_open_question_can_say_why_and_what_is_usual(talk: Talk) -> None:
    from advisor.dialogue.agenda import open_asks
    from advisor.dialogue.asking import usual_words

    draft = draft_of(talk.case)
    for ask in open_asks(draft, context().knowledge):
        assert why_lines(ask, draft, context())
        assert usual_words(ask, draft, context())


def test_look_ups_come_with_range_and_source() -> None:
    talk = Talk("what is the C:N of pea straw")
    assert "pea straw, carbon to nitrogen ratio: about" in talk.heard("answer")
    assert talk.reply is not None
    assert talk.reply.sources
    assert "Source:" in talk.heard("source")
    assert "deep litter" in Talk("what is deep litter").heard("answer")
    assert "sow, weight" in Talk("how much do sows weigh").heard("answer")


def test_why_of_a_piece_of_advice() -> None:
    talk = Talk(*FARMS["suckler cows"], "why should I lay a dry base before the animals come in")
    assert "cold of the floor" in talk.heard("answer")
