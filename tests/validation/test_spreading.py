"""Spreading worked by hand and by published advice."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.knowledge import knowledge
from advisor.science import land


def figure(name: str) -> float:
    entry = knowledge().figures[name]
    assert entry.figure is not None
    return entry.figure.value


def test_rate_at_a_nitrogen_limit() -> None:
    # 170 kg N/ha (EU nitrates directive, Annex III) with cattle manure at 6.0 kg N/t (RB209 2023): 28.3 t/ha
    assert land.rate_kg_m2(0.0170, 0.0060) * 10 == pytest.approx(28.3, abs=0.05)
    # the 250 kg N/ha of one field (UK NVZ rules) at the same content: 41.7 t/ha
    assert land.rate_kg_m2(0.0250, 0.0060) * 10 == pytest.approx(41.7, abs=0.05)


def test_potash_that_comes_along() -> None:
    # 28 t/ha at 8 kg K2O/t brings 224 kg K2O/ha: above the rate at which grass staggers are warned of
    assert land.potash_at_rate_kg_ha(28 * 8.0, 1.0) == pytest.approx(224)
    assert figure("potash_caution_rate") < 224


def test_nitrogen_for_the_next_crop() -> None:
    # RB209 2023: of 40 t/ha cattle manure at 6.0 kg N/t about a tenth serves the next crop, 24 kg/ha
    share = figure("pack_total_nitrogen_available_year1")
    assert 40 * 6.0 * share == pytest.approx(24, rel=0.01)


def test_phosphate_and_potash_of_the_table() -> None:
    # RB209 2023 Table 2.4: of 3.2 kg P2O5/t 1.9 serve in the first year, of 9.4 kg K2O/t 8.5
    assert 3.2 * figure("phosphorus_available_year1") == pytest.approx(1.9, rel=0.2)
    assert 9.4 * figure("potassium_available_year1") == pytest.approx(8.5, rel=0.06)


@given(st.floats(100, 1e6), st.floats(1, 1e4), st.floats(50, 400))
def test_land_and_rate_hang_together(mass: float, nitrogen: float, limit: float) -> None:
    area = land.land_area_ha(nitrogen, limit)
    rate = land.rate_by_nitrogen_t_ha(mass, area)
    assert float(rate) * float(area) * 1000 == pytest.approx(mass, rel=1e-6)
    assert nitrogen / float(area) == pytest.approx(limit, rel=1e-6)
