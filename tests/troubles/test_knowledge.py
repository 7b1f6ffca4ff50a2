"""The troubles hang together: every id there, every condition sound, no digits in prose, contract words all held."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from advisor.knowledge import Knowledge
from advisor.knowledge.models_troubles import Cause, CheckLink, Lean, Link
from advisor.language.text import plain, tokenise
from advisor.reasoning.expressions import compile_condition
from advisor.troubles.listening import evidence_in
from advisor.troubles.sized import SUMS
from advisor.troubles.words import phrases

#: the words for symptoms of the message contract
CONTRACT = """ammonia smell, bedding used up too fast, caked surface, compacted pack, condensation, coughing animals,
dirty animals, dust, flies, frozen surface, heat lost early, lameness, leachate, maggots, mastitis, mushrooms,
nitrogen lock-up, pack not heating, pack rising too high, pack too dry, pigs not rooting, pile not breaking down,
rats, rotten egg smell, slimy pack, sour smell, steam, stinging eyes, uneven heating, unspecified smell,
weeds after spreading, wet bottom, wet patch, wet surface, white fungus"""


def test_every_symptom_of_the_contract_is_a_sign_that_some_cause_explains(known: Knowledge) -> None:
    names = {sign.name: key for key, sign in known.signs.items()}
    linked = {sign for cause in known.causes.values() for sign in cause.signs}
    for word in re.split(r",\s*", CONTRACT):
        assert names[word] in linked, word


def _links(known: Knowledge) -> Iterator[tuple[str, Link | CheckLink | Lean]]:
    for name, cause in known.causes.items():
        for link in (*cause.signs.values(), *cause.checks.values(), *cause.leans):
            yield name, link


def test_every_link_points_at_what_is_there(known: Knowledge) -> None:
    for name, cause in known.causes.items():
        assert set(cause.signs) <= set(known.signs), name
        assert set(cause.remedies) <= set(known.remedies), name
        assert set(cause.cautions) <= set(known.cautions), name
        for check, link in cause.checks.items():
            assert set(link.results) <= set(known.checks[check].results), (name, check)
    for name, link in _links(known):
        assert link.why.endswith("."), name
        assert link.source is None or link.source in known.sources, (name, link.source)


def test_causes_and_their_signs_and_checks_are_of_one_place(known: Knowledge) -> None:
    for name, cause in known.causes.items():
        for sign in cause.signs:
            assert set(cause.places) & set(known.signs[sign].places), (name, sign)
        for check in cause.checks:
            assert known.checks[check].place in (None, *cause.places), (name, check)


def test_every_remedy_check_and_never_is_used(known: Knowledge) -> None:
    causes = known.causes.values()
    assert {r for cause in causes for r in cause.remedies} == set(known.remedies)
    assert {c for cause in causes for c in cause.checks} | {"where_is_it"} == set(known.checks)
    used = {n for entry in (*known.remedies.values(), *known.dangers.values()) for n in entry.nevers}
    assert used == set(known.nevers)


def test_conditions_read_only_facts_that_exist(known: Knowledge) -> None:
    kinds = {name: fact.kind for name, fact in known.facts.items()}
    answers = dict.fromkeys([*known.checks, *known.signs], "text")
    for _, link in _links(known):
        if isinstance(link, Lean):
            compile_condition(link.when, kinds)
    for check in known.checks.values():
        assert not check.fact or check.fact in known.facts
        for text in check.from_facts.values():
            compile_condition(text, kinds)
    for danger in known.dangers.values():
        compile_condition(danger.when, {**answers, **kinds})


def _prose(known: Knowledge) -> Iterator[tuple[str, str]]:
    for name, cause in known.causes.items():
        yield from ((name, text) for text in (cause.name, cause.about, cause.call))
        for _, link in (
            (name, link) for link in (*cause.signs.values(), *cause.checks.values(), *cause.leans)
        ):
            yield name, link.why
    for name, check in known.checks.items():
        yield from ((name, text) for text in (check.ask, check.how, check.caution))
        yield from ((name, result.name) for result in check.results.values())
    for name, remedy in known.remedies.items():
        yield from ((name, text) for text in (remedy.name, *remedy.today, *remedy.after, remedy.worse))
    for name, danger in known.dangers.items():
        yield from ((name, text) for text in (danger.name, *danger.now))
    for name, never in known.nevers.items():
        yield from ((name, text) for text in (never.do_not, never.because))


def test_prose_holds_no_digits_and_its_figures_exist(known: Knowledge) -> None:
    for name, text in _prose(known):
        figures = re.findall(r"\{(\w+)\}", text)
        assert set(figures) <= set(known.figures), (name, text)
        assert not re.search(r"\d", re.sub(r"\{\w+\}", "", text)), (name, text)
        assert "{" not in re.sub(r"\{\w+\}", "", text), (name, text)


def test_every_sum_is_named_by_a_remedy_and_has_its_words(known: Knowledge) -> None:
    assert {remedy.size for remedy in known.remedies.values() if remedy.size} == set(SUMS)
    assert set(phrases()["workings"]) == set(SUMS)


def test_sources_and_dangers_of_remedies_exist(known: Knowledge) -> None:
    for topic in ("remedies", "dangers", "nevers"):
        for name, entry in known.topic(topic).items():
            assert set(entry.sources) <= set(known.sources), name
            assert set(getattr(entry, "cautions", ())) <= set(known.cautions), name
            assert set(getattr(entry, "nevers", ())) <= set(known.nevers), name
    for sign in known.signs.values():
        assert sign.danger is None or sign.danger in known.dangers
    for danger in known.dangers.values():
        assert set(danger.signs) <= set(known.signs)
        assert set(danger.bars) <= set(known.checks)


def test_what_signs_and_looks_tell_are_facts_of_the_farm(known: Knowledge) -> None:
    told = [sign.tells for sign in known.signs.values()]
    told += [result.tells for check in known.checks.values() for result in check.results.values()]
    for fact, value in (pair for facts in told for pair in facts.items()):
        entry = known.facts[fact]
        assert isinstance(value, bool) if entry.kind == "flag" else value in entry.choices, fact


def test_a_link_gives_a_source_or_is_called_judgement() -> None:
    with pytest.raises(ValueError, match="source"):
        Link.model_validate({"is": "often", "why": "So.", "seen": "primary"})
    with pytest.raises(ValueError, match="source"):
        Link.model_validate({"is": "often", "why": "So.", "source": "DPCBP"})


def test_no_cause_stands_alone_on_a_sign_that_it_denies(known: Knowledge) -> None:
    def tells(cause: Cause) -> bool:
        return any(link.strength in ("always", "often") for link in cause.signs.values())

    assert all(tells(cause) for cause in known.causes.values())


# How a keeper may say the finer signs.
@pytest.mark.parametrize(
    ("said", "sign", "state"),
    [
        ("it's wet by the trough and stinks", "wet_by_drinker", "present"),
        ("puddle round the water bowl again", "wet_by_drinker", "present"),
        ("the ballcock drips all night", "wet_by_drinker", "present"),
        ("a right mess round the hay ring", "wet_by_feeder", "present"),
        ("snow blows in under the door", "wet_by_wall", "present"),
        ("they all lie at one end", "animals_crowd", "present"),
        ("the calves are scouring", "loose_dung", "present"),
        ("no scouring though", "loose_dung", "absent"),
        ("straw is musty", "musty_smell", "present"),
        ("it's very stuffy in there", "stuffy_air", "present"),
        ("two ewes are off their feed", "off_feed", "present"),
        ("lamb with swollen knees", "swollen_joints", "present"),
        ("the middle is too hot to hold", "heap_too_hot", "present"),
        ("it stinks when I turn it", "smell_when_turned", "present"),
        ("tomato leaves are all curled", "twisted_leaves", "present"),
        ("dark and crumbly now", "smells_earthy", "present"),
    ],
)
def test_finer_signs_are_heard(said: str, sign: str, state: str, known: Knowledge) -> None:
    assert evidence_in(known, said)[sign] == state
    assert tokenise(plain(said))


def test_wet_all_over_is_no_patch(known: Knowledge) -> None:
    found = evidence_in(known, "it is wet all over", ["wet patch"])
    assert found == {"wet_surface": "present", "wet_where": "all_over"}
