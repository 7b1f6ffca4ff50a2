"""Every sized remedy for one farm, worked out by hand with the working values, against what is printed.

The numbers of the farm are those that the plan of an invented farm gives (14 beef cows on 96 m2 with wheat straw);
the figures' working values stand in the sums, so that a figure that changes shows here.
"""

from __future__ import annotations

from typing import Any

import pytest

from advisor.knowledge import Knowledge
from advisor.troubles.sized import SUMS, size
from advisor.troubles.words import amount_text

FARM: dict[str, Any] = {
    "area_m2": 96.0, "main_species": "cattle", "management": "static", "heads": 14, "excreta_kg_day": 602.0,
    "excreta_dry_kg_day": 68.6, "least_bedding_kg_day": 84.0, "space_needed_m2": 98.0, "bedding": "wheat_straw",
    "bedding_moisture": 0.1, "bale_mass_kg": 240.0, "bale_name": "round bale", "bedding_kg_day": 80.0,
    "carbon_kg_day": 63.27, "nitrogen_kg_day": 3.336, "top_dry_kg_day": 140.6, "pack_mass_kg": 45000.0,
    "on_hand_kg": 7225.6,
}  # fmt: skip

#: remedy: what must be printed for it, in order
PRINTED: dict[str, list[str]] = {
    # 140.6 kg dry a day for 10 days at 78 % water: 6391 kg; x 0.06 / 0.62
    "bed_the_top": ["Dry bedding today: about 620 kg", "2.6 round bales or 206 forkfuls"],
    # 602 - 96 x 1 x 0.5 = 554 kg, of which 68.6 dry: 87.6 % water; 554 x 0.1562 / 0.62 = 139.5; 7225.6 kg lasts 52 days
    "raise_the_rate": ["about 140 kg", "about 980 kg", "4.1 round bales", "about 60 kg", "about 52 days"],
    # ten days: 33.36 kg N, 632.7 kg C; (25 x 33.36 - 632.7) / (0.9 x (0.45 - 25 x 0.0055))
    "carbon_on_bed": ["about 720 kg", "3 round bales"],
    # 7 x 40 litres at 1.79 litres a kg
    "mend_drinker": ["about 40 litres", "about 160 kg"],
    # 7 x 2 litres at 1.79 litres a kg; so few bales are not worth a word
    "keep_rain_out": ["about 2 litres", "about 7.8 kg"],
    # 0.15 m x 750 kg/m3 out, 0.15 m x 120 kg/m3 back
    "mend_patch": ["about 110 kg", "about 18 kg"],
    "give_room": ["2 m\u00b2", "1"],
    # 45 t at 0.8 t an hour and at 25 t an hour; 96 x 0.3 x 38 kg
    "muck_out": ["45 t", "about 56 hours", "about 1.8 hours", "about 1.1 t"],
    # 14 x 0.1 m2, twice that at the eaves
    "open_up": ["about 1.4 m\u00b2", "about 2.8 m\u00b2"],
    # 96 x 0.6 m x 15 kg/m3 = 864 kg: by weight, as it is no rain
    "give_grain": ["about 860 kg"],
    # damp bales at 28 % water soak up 1 / 1.43 of what dry ones do
    "dry_bedding": ["about 43 %", "about 35 kg"],
    "dry_the_ration": ["about 15 %", "about 12 kg"],
    # 96 x 0.15 x 38
    "through_frost": ["about 550 kg"],
    # 1000 x 0.1 / 0.5
    "dry_the_heap": ["about 200 kg"],
    # 1000 x 0.15 / 0.5
    "water_heap": ["about 300 litres"],
    "carbon_to_heap": ["about 130 kg"],
    "nitrogen_to_heap": ["about 800 kg"],
    # 1.5 m cubed at 600 kg/m3
    "bigger_heap": ["about 3.4 m\u00b3", "about 2 t"],
    "open_heap": ["about 25 %"],
    # 7 x 2 litres
    "cover_heap": ["about 14 litres"],
}


def test_every_sum_is_recomputed(known: Knowledge) -> None:
    assert {known.remedies[name].size for name in PRINTED} == set(SUMS)


@pytest.mark.parametrize("name", PRINTED)
def test_one_farm_by_hand(name: str, known: Knowledge) -> None:
    text = " | ".join(amount_text(amount) for amount in size(known, name, FARM).sum.amounts)
    at = 0
    for wanted in PRINTED[name]:
        found = text.find(wanted, at)
        assert found >= 0, (wanted, text)
        at = found + len(wanted)
