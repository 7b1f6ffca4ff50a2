"""kill -9 at random moments: no acknowledged message is lost, and the case can be opened again at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.casebook.killing import kill_again_and_again


@pytest.mark.slow
def test_twenty_kills_lose_nothing_acknowledged(tmp_path: Path) -> None:
    tally = kill_again_and_again(tmp_path, kills=20, seed=1)
    assert tally.acknowledged > 0
    assert (tally.lost, tally.other_damage) == (0, ())
    assert 0 <= tally.kept_beyond <= tally.kills  # at most the one being saved at each kill
