"""Things told in passing, among the questions: each goes where it belongs, and nothing told before is lost."""

from __future__ import annotations

from tests.dialogue.talking import Talk

FARM = ("12 cows", "10 m x 18 m", "5 november to 20 april", "200 bales of straw")


def test_a_price_is_kept_by_the_tonne_and_the_bales_stand() -> None:
    talk = Talk(*FARM, "straw is 80 pounds a tonne")
    assert talk.at("materials.straw.price") == 80
    assert talk.at("materials.straw.packs") == 200
    assert talk.at("prices.currency") == "£"
    talk.say("it is £4.50 a bale now")
    assert "price" in talk.heard("answer")  # what a bale weighs is not yet known
    talk.say("18 kg", "it is £4.50 a bale now")
    assert talk.at("materials.straw.price") == 250
