"""What the tests of the knowledge base share."""

from __future__ import annotations

import pytest

from advisor.knowledge.base import Memory


@pytest.fixture(scope="session")
def memory() -> Memory:
    """Files already parsed, so that each test that checks the whole base parses only what it changes."""
    return {}
