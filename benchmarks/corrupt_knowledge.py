"""Corrupt knowledge files at random and count how many of the changes the checker finds at the right place.

    python benchmarks/corrupt_knowledge.py [--count 500] [--seed 1] [--show] [--together]

One change at a time, which takes about a second each; with --together many at once, each in an entry of its own.

Ends with 1 where fewer than 95 % are found, or where the checker fails.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import Counter
from itertools import islice
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT)]

from advisor.knowledge import knowledge_folder  # noqa: E402
from tests.knowledge.corrupting import KINDS, Bench, corruptions, together  # noqa: E402

LEAST_SHARE = 0.95


def main() -> int:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--count", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--show", action="store_true", help="print the ones that were missed")
    parser.add_argument("--together", action="store_true", help="try many at once: much quicker")
    options = parser.parse_args()
    tried: Counter[str] = Counter()
    caught: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(knowledge_folder(), Path(folder) / "knowledge")
        print(f"{len(bench.before)} faults before")
        hurts = list(islice(corruptions(bench.folder, options.seed), options.count))
        for batch in together(hurts) if options.together else [[hurt] for hurt in hurts]:
            faults = bench.new_faults(*batch)
            for hurt in batch:
                tried[hurt.kind] += 1
                if bench.caught(hurt, faults):
                    caught[hurt.kind] += 1
                elif options.show:
                    near = [str(fault) for fault in faults if fault.place.file == hurt.file]
                    told = "; ".join(near[:3]) or "nothing in that file"
                    print(
                        f"missed: {hurt.kind} {hurt.file}:{hurt.line} {hurt.what} (found: {told})", flush=True
                    )
    for kind in KINDS:
        print(f"{caught[kind]:4} of {tried[kind]:4}  {kind}")
    share = sum(caught.values()) / options.count
    print(f"{sum(caught.values()):4} of {options.count:4}  in all: {share:.1%}")
    return 0 if share >= LEAST_SHARE else 1


if __name__ == "__main__":
    sys.exit(main())
