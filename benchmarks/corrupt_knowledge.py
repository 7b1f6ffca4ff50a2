"""Corrupt knowledge files at random, one change at a time, and count how many the checker finds at the right place.

    python benchmarks/corrupt_knowledge.py [--count 500] [--seed 1] [--show]

Ends with 1 where fewer than 95 % are found, or where the checker fails.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT)]

from advisor.knowledge import knowledge_folder  # noqa: E402
from tests.knowledge.corrupting import KINDS, Bench, corruptions  # noqa: E402

LEAST_SHARE = 0.95


def main() -> int:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--count", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--show", action="store_true", help="print the ones that were missed")
    options = parser.parse_args()
    tried: Counter[str] = Counter()
    caught: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(knowledge_folder(), Path(folder) / "knowledge")
        print(f"{len(bench.before)} faults before")
        found = corruptions(bench.folder, options.seed)
        for _ in range(options.count):
            hurt = next(found)
            faults = bench.new_faults(hurt)
            tried[hurt.kind] += 1
            if bench.caught(hurt, faults):
                caught[hurt.kind] += 1
            elif options.show:
                others = "; ".join(str(fault) for fault in faults[:3]) or "nothing"
                print(
                    f"missed: {hurt.kind} {hurt.file}:{hurt.line} {hurt.what} (found: {others})", flush=True
                )
    for kind in KINDS:
        print(f"{caught[kind]:4} of {tried[kind]:4}  {kind}")
    share = sum(caught.values()) / options.count
    print(f"{sum(caught.values()):4} of {options.count:4}  in all: {share:.1%}")
    return 0 if share >= LEAST_SHARE else 1


if __name__ == "__main__":
    sys.exit(main())
