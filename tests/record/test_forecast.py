"""The forecast: conditioned on the record, narrowing, honest, and the same in whatever order things were told."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.farm import Farm
from advisor.knowledge import Knowledge
from advisor.reasoning.draws import Draws, spread
from advisor.record.draws import LearnedDraws, bearable_share, effective_number, resample
from advisor.record.entries import Entry, Record
from advisor.record.forecast import Forecast, forecast
from tests.record.conftest import START, day, note, weekly
from tests.record.twin import hidden_winter, run_twin

pytestmark = pytest.mark.slow  # each forecast runs many winters

DRAWS = 150


def end_depth(found: Forecast) -> tuple[float, float, float]:
    return spread(found.learned.packs["pen"].depth_m[-1])


def test_a_season_that_went_as_planned_ends_as_planned(simple: Farm, known: Knowledge) -> None:
    beds = weekly(simple, known, 70)
    found = forecast(simple, Record.of(beds), known, day(70), DRAWS)
    assert found.day == 70
    assert end_depth(found)[1] == pytest.approx(spread(found.plan.packs["pen"].depth_m[-1])[1], rel=0.06)
    assert found.learned.number("bedding_total_kg") == pytest.approx(
        found.plan.number("bedding_total_kg"), rel=0.1
    )
    assert not found.learning.disagrees
    assert found.ledger.gaps == []


def test_more_bedding_than_planned_makes_a_higher_bed(simple: Farm, known: Knowledge) -> None:
    low, high = (
        forecast(simple, Record.of(weekly(simple, known, 70, share)), known, day(70), DRAWS).learned.packs[
            "pen"
        ]
        for share in (0.7, 1.4)
    )
    assert np.all(high.depth_m[70] > low.depth_m[70])
    assert np.all(high.top_moisture[70] < low.top_moisture[70])


def test_what_went_in_is_conserved(simple: Farm, known: Knowledge) -> None:
    """Ash: what the base, the recorded bedding, the days to come and the animals brought is what is there."""
    found = forecast(simple, Record.of(weekly(simple, known, 70)), known, day(70), 5)
    engine = found.learned.engine
    per_kg = engine.value("bedding_per_kg", ("material", "barley_straw"))[1]
    bedding = found.ledger.used_kg("barley_straw") + float(found.rest.by_day["pen"].sum())
    dung = engine.value("bed_flow", ("group", "beef_cow")).components[1]
    cow_days = float(found.season.heads["beef_cow"].sum())
    base = engine.value("base_kg", ("pen", "pen"))
    expected = per_kg * (bedding + base) + dung * cow_days
    assert found.learned.packs["pen"].end.whole[1] == pytest.approx(expected, rel=1e-6)


SOME = [
    note("bedding", 0, material="barley_straw", packs=5), note("bedding", 7, material="barley_straw", packs=5),
    note("depth", 10, depth="34 cm"), note("squeeze", 12, result="holds"),
    note("heads", 9, group="beef_cow", change=-4),
    note("heads", 9, group="beef_cow", count=18), note("stock", 8, material="barley_straw", packs=120),
    note("bought", 11, material="barley_straw", packs=10), note("grass", 5, days=2), note("ammonia", 12, nose=1),
]  # fmt: skip


@settings(max_examples=4)
@given(st.permutations(SOME))
def test_the_order_of_entries_does_not_matter(known: Knowledge, simple: Farm, entries: list[Entry]) -> None:
    first = forecast(simple, Record.of(SOME), known, day(14), 40)
    told = forecast(simple, Record.of(entries), known, day(14), 40, plan=first.plan)
    assert np.array_equal(told.learned.packs["pen"].depth_m, first.learned.packs["pen"].depth_m)
    assert told.rest.decision == first.rest.decision


def test_heads_come_and_go(simple: Farm, known: Knowledge) -> None:
    found = forecast(simple, Record.of(SOME), known, day(14), 5)
    heads = found.season.heads["beef_cow"]
    assert list(heads[[0, 4, 5, 6, 7, 8, 9, 100]]) == [20, 20, 0, 0, 20, 20, 14, 14]


def test_a_count_of_what_is_left_starts_the_sum_afresh(simple: Farm, known: Knowledge) -> None:
    found = forecast(simple, Record.of(SOME), known, day(14), 20)
    bales = np.asarray(found.ledger.left_kg["barley_straw"]) / found.learned.engine.value(
        "bale_mass_kg", ("material", "barley_straw")
    )
    assert bales == pytest.approx(130.0)


def test_a_stretch_without_notes_is_not_taken_as_none(simple: Farm, known: Knowledge) -> None:
    noted = forecast(simple, Record.of(weekly(simple, known, 70)), known, day(70), DRAWS)
    beds = weekly(simple, known, 70, skip=(4, 5))
    missed = forecast(simple, Record.of(beds), known, day(70), DRAWS)
    none = [*beds, *(note("bedding", on, material="barley_straw", mass=0) for on in range(28, 42))]
    given_none = forecast(simple, Record.of(none), known, day(70), DRAWS)
    assert [gap.days for gap in missed.ledger.gaps] == [20]
    assert given_none.ledger.gaps == []
    depths = [spread(f.learned.packs["pen"].depth_m[70]) for f in (noted, missed, given_none)]
    assert depths[0][1] > depths[2][1]
    assert depths[1][1] > depths[2][1]
    assert depths[1][2] - depths[1][0] > depths[0][2] - depths[0][0]


def test_ranges_narrow_with_readings_and_through_the_winter(simple: Farm, known: Knowledge) -> None:
    widths = []
    for until in (28, 77, 133):
        beds = weekly(simple, known, until)
        real = hidden_winter(simple, Record.of(beds), known, day(until), 3)
        depths = [note("depth", on, depth=real.at("pen", on)["depth"]) for on in range(14, until + 1, 14)]
        low, _, high = end_depth(forecast(simple, Record.of([*beds, *depths]), known, day(until), 400))
        widths.append(high - low)
    before = forecast(simple, Record(), known, START, 400)
    low, _, high = end_depth(before)
    assert high - low > widths[0] > widths[1] > widths[2]


def test_readings_that_contradict_each_other_or_the_model_are_called_out(
    simple: Farm, known: Knowledge
) -> None:
    beds = weekly(simple, known, 56)
    calm = forecast(simple, Record.of([*beds, note("depth", 55, depth=0.42)]), known, day(56), DRAWS)
    assert (calm.learning.disagrees, calm.learning.odd) == (False, ())
    absurd = forecast(simple, Record.of([*beds, note("depth", 55, depth=1.5)]), known, day(56), DRAWS)
    assert absurd.learning.disagrees
    assert [reading.what for reading, _ in absurd.learning.odd] == ["depth"]
    twice = [note("depth", 55, depth=0.30), note("depth", 55, depth=0.62)]
    both = forecast(simple, Record.of([*beds, *twice]), known, day(56), DRAWS)
    assert both.learning.disagrees or both.learning.odd


def test_twins_lie_within_the_range_about_four_times_in_five(simple: Farm, known: Knowledge) -> None:
    """The coarse version of benchmarks/twin.py: 16 hidden winters of one farm, six numbers of each."""
    beds = weekly(simple, known, 84)
    plain = forecast(simple, Record.of(beds), known, day(84), 250)
    inside: list[bool] = []
    narrower: list[bool] = []
    for seed in range(16):
        twin, _ = run_twin(simple, beds, known, day(84), seed, plain=plain)
        inside += twin.inside.values()
        narrower.append(twin.width["pen:depth"] < twin.width_before["pen:depth"])
        assert not twin.disagrees
    assert 0.68 <= sum(inside) / len(inside) <= 0.92
    assert sum(narrower) >= 15


def test_the_same_seed_gives_the_same_forecast(simple: Farm, known: Knowledge) -> None:
    first, second = (forecast(simple, Record.of(SOME), known, day(14), 40, seed=5) for _ in range(2))
    assert np.array_equal(first.learned.packs["pen"].depth_m, second.learned.packs["pen"].depth_m)


def test_a_record_of_the_future_is_not_used(simple: Farm, known: Knowledge) -> None:
    later = note("depth", 60, depth=1.5)
    assert len(forecast(simple, Record.of([*SOME, later]), known, day(14), 5).record) == len(SOME)


def test_the_first_layer_is_not_counted_twice(simple: Farm, known: Knowledge) -> None:
    beds = weekly(simple, known, 14)
    first = note("bedding", 0, material="barley_straw", packs=12, base=True)
    plain, told = (forecast(simple, Record.of(each), known, day(14), 5) for each in (beds, [*beds, first]))
    assert np.array_equal(told.learned.packs["pen"].depth_m, plain.learned.packs["pen"].depth_m)
    assert (plain.ledger.before_start, told.ledger.before_start) == (0, 1)


def test_before_the_first_note_the_forecast_is_the_plan(simple: Farm, known: Knowledge) -> None:
    found = forecast(simple, Record(), known, START - dt.timedelta(days=10), DRAWS)
    assert found.day == 0
    assert end_depth(found)[1] == pytest.approx(spread(found.plan.packs["pen"].depth_m[-1])[1], rel=0.05)


@given(st.lists(st.floats(-400, 0), min_size=20, max_size=60), st.integers(0, 99))
def test_resampling_keeps_the_likely_and_loses_the_hopeless(logs: list[float], seed: int) -> None:
    values = np.array(logs)
    chosen = resample(values, seed)
    weights = np.exp(values - values.max())
    weights /= weights.sum()
    counts = np.bincount(chosen, minlength=values.size)
    assert np.all(np.abs(counts - weights * values.size) < 1.0 + 1e-9)  # what makes it systematic
    share = bearable_share(values, 10.0)
    assert 0.0 < share <= 1.0
    assert effective_number(share * values) >= min(9.99, effective_number(values))


def test_many_readings_leave_many_different_winters(simple: Farm, known: Knowledge) -> None:
    """Where resampling alone would leave a handful of draws, these are moved about among what is likely."""
    beds = weekly(simple, known, 84)
    real = hidden_winter(simple, Record.of(beds), known, day(84), 4)
    read = [
        note(kind, on, **{kind: real.at("pen", on)[truth]})
        for on in range(7, 84, 7)
        for kind, truth in (("depth", "depth"), ("moisture", "top_moisture"))
    ]
    found = forecast(simple, Record.of([*beds, *read]), known, day(84), DRAWS)
    assert found.learning.effective < DRAWS / 4
    assert found.learning.say == 1.0
    assert not found.learning.disagrees
    ends = found.learned.packs["pen"].depth_m[-1, 1:]
    assert np.unique(ends).size > DRAWS / 4
    low, high = np.percentile(ends, [2, 98])
    assert (
        low
        <= hidden_winter(simple, Record.of(beds), known, day(84), 4, found.rest.by_day).at(
            "pen", found.season.days
        )["depth"]
        <= high
    )


def test_stirred_draws_are_as_even_as_before_and_only_the_stirred_move() -> None:
    plain = Draws(2000, 3)
    still = LearnedDraws.of(plain, np.arange(2000))
    half = np.arange(2000) % 2 == 0
    for round_ in range(12):
        moved = still.stir(half, round_)
        assert np.array_equal(moved.even("a")[~half], still.even("a")[~half])
        assert np.all(moved.even("a")[half] != still.even("a")[half])
        still = moved
    there = np.sort(still.even("a"))
    assert there[0] >= 0.0
    assert there[-1] <= 1.0
    assert np.abs(there - (np.arange(2000) + 0.5) / 2000).max() < 0.05  # Kolmogorov's distance from even


def test_learned_draws_stay_within_their_range_and_together() -> None:
    plain = Draws(50, 3)
    learned = LearnedDraws.of(plain, np.full(50, 7))
    for name, (low, value, high) in {"a": (1.0, 2.0, 4.0), "b": (0.0, 0.1, 1.0)}.items():
        drawn, before = learned.triangular(name, low, value, high), plain.triangular(name, low, value, high)
        assert isinstance(drawn, np.ndarray)
        assert isinstance(before, np.ndarray)
        assert np.all(drawn[1:] == before[8])
        assert low <= drawn[0] <= high
    assert learned.triangular("c", 5.0, 5.0, 5.0) == 5.0
