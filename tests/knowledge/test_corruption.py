"""Forty random slips in the real knowledge files: nearly all are told at the right place, and none is a traceback.

Many entries are hurt at once, which is also how the checker is used: every fault in one run.
benchmarks/corrupt_knowledge.py does the same one by one, five hundred times.
"""

from __future__ import annotations

from collections import Counter
from itertools import islice
from pathlib import Path

import pytest

from advisor.knowledge import knowledge_folder
from advisor.knowledge.base import Memory
from tests.knowledge.corrupting import KINDS, Bench, corruptions, together

COUNT, SEED, LEAST_SHARE = 40, 11, 0.95


@pytest.mark.slow
def test_slips_of_the_hand_are_told_where_they_are(tmp_path: Path, memory: Memory) -> None:
    bench = Bench(knowledge_folder(), tmp_path / "knowledge", memory)
    hurts = list(islice(corruptions(bench.folder, SEED), COUNT))
    assert Counter(hurt.kind for hurt in hurts) == dict.fromkeys(KINDS, COUNT // len(KINDS))
    missed = []
    for batch in together(hurts):
        faults = bench.new_faults(*batch)
        missed += [f"{hurt.file}:{hurt.line} {hurt.what}" for hurt in batch if not bench.caught(hurt, faults)]
    assert len(missed) <= COUNT * (1 - LEAST_SHARE), missed
