"""The demo conversations go as approved: `python -m tests.replay` says how to approve a change."""

from __future__ import annotations

import pytest

from tests.replay import differences, names, read


@pytest.mark.parametrize("name", names())
def test_a_demo_conversation_goes_as_approved(name: str) -> None:
    assert "\n".join(differences(name)) == ""


def test_there_are_enough_of_them_and_all_are_invented() -> None:
    from tests.replay import FOLDER

    assert len(names()) >= 5
    for name in names():
        assert "invented" in (FOLDER / f"{name}.yaml").read_text(encoding="utf-8").splitlines()[0]
        assert read(name)["about"]
