"""What a crop can use and what the law allows, by hand; and that the two are never mixed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.science import land

P2O5, K2O = 2.2914, 1.2046


def test_what_a_crop_takes_off_by_hand() -> None:
    # Potash Development Association 2020: grass hay takes off 5.9 kg P2O5 and 18 kg K2O a tonne; at 5 t/ha:
    assert land.crop_need_phosphate_kg_ha(5.0, 5.9 / P2O5, P2O5) == pytest.approx(29.5)
    assert land.crop_need_potash_kg_ha(5.0, 18.0 / K2O, K2O) == pytest.approx(90.0)
    # New England Vegetable Management Guide, Table 4: 3.12 kg N a tonne of cabbage; 20 short tons an acre is 44.8 t/ha
    assert land.crop_need_nitrogen_kg_ha(44.83, 3.12) == pytest.approx(140.0, rel=0.01)  # 125 lb an acre


def test_the_rate_by_each_nutrient_and_the_least_of_them() -> None:
    # 10 t of compost with 50 kg phosphate: 5 kg a tonne, so 30 kg a hectare are 6 t
    assert land.rate_by_crop_phosphate_t_ha(30.0, 50.0, 10_000.0) == pytest.approx(6.0)
    assert land.rate_by_crop_potash_t_ha(90.0, 150.0, 10_000.0) == pytest.approx(6.0)
    assert land.rate_by_crop_nitrogen_t_ha(100.0, 7.0, 10_000.0) == pytest.approx(1000.0 / 7.0)
    assert land.crop_rate_t_ha(8.0, 6.0, 7.0) == 6.0
    assert land.crop_land_area_ha(12_000.0, 6.0) == pytest.approx(2.0)


RATES = st.lists(st.floats(0.1, 200), min_size=3, max_size=3)


@given(need=st.floats(1, 400), held=st.floats(1, 1000), mass=st.floats(1, 1e6), rates=RATES)
def test_spread_at_its_rate_a_nutrient_brings_just_the_need(
    need: float, held: float, mass: float, rates: list[float]
) -> None:
    rate = land.rate_by_crop_phosphate_t_ha(need, held, mass)
    assert rate * held / (mass / 1000.0) == pytest.approx(need)
    assert land.crop_rate_t_ha(*rates) == min(rates)


def test_year_by_year_no_more_is_set_free_than_there_is() -> None:
    organic = land.compost_organic_nitrogen_kg(100.0, 0.1)
    assert organic == pytest.approx(90.0)
    # Alberta nutrient management guide, p. 168, composted manure: 12, 7 and 4 % of organic nitrogen
    freed = (
        land.organic_nitrogen_year1_kg(organic, 0.12),
        land.organic_nitrogen_year2_kg(organic, 0.07),
        land.organic_nitrogen_year3_kg(organic, 0.04),
    )
    assert freed == pytest.approx((10.8, 6.3, 3.6))
    # RB209 2023, Table 2.4: 60 % of phosphate and 90 % of potash in the first year
    assert land.available_phosphate_year1_kg(50.0, 0.6) == pytest.approx(30.0)
    assert land.available_phosphate_year2_kg(50.0, 0.2) == pytest.approx(10.0)
    assert land.available_phosphate_year3_kg(50.0, 0.06) == pytest.approx(3.0)
    assert land.available_potash_year1_kg(80.0, 0.9) == pytest.approx(72.0)
