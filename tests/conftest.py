"""Shared by all tests: hypothesis without a clock, and a home folder of their own."""

from __future__ import annotations

import datetime as dt
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from advisor.knowledge import Knowledge, knowledge

settings.register_profile(
    "here",
    deadline=None,
    max_examples=50,
    derandomize=bool(os.environ.get("CI")),
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("here")

# All processes share one compiled copy of the knowledge base. It is keyed by content, so sharing it between
# runs can never serve what is stale; it is named before any test module reads the base.
os.environ["BYREWISE_CACHE"] = str(Path(tempfile.gettempdir()) / "byrewise-tests")

DEMO = Path(__file__).parent.parent / "knowledge" / "demo"
TODAY = dt.date(2026, 10, 20)


@pytest.fixture(scope="session")
def known() -> Knowledge:
    """The knowledge base of this checkout."""
    return knowledge()


@pytest.fixture(scope="session", autouse=True)
def _own_home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Nothing the tests do reaches the tester's own saved cases."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("BYREWISE_HOME", str(tmp_path_factory.mktemp("home")))
        yield
