"""How long the reading of a message takes, and whether a million random ones pass.

python benchmarks/understand_speed.py               times on the development messages
python benchmarks/understand_speed.py --fuzz 1000000
"""

from __future__ import annotations

import argparse
import random
import statistics
import time
from pathlib import Path

from advisor.knowledge import knowledge_folder, read_knowledge
from advisor.language import lexicon, understand

MESSAGES = Path(__file__).resolve().parent.parent / "tests" / "language" / "kinds.txt"


def main() -> None:
    """Print the times, or run the fuzz."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--fuzz", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    began = time.perf_counter()
    words = lexicon(read_knowledge(knowledge_folder())[0])
    understand("hello", None, {}, words)
    print(f"first reading, with everything loaded: {time.perf_counter() - began:.2f} s")
    texts = [
        line for line in MESSAGES.read_text(encoding="utf-8").splitlines() if line and line[0] not in "[#"
    ]
    asked = [
        None,
        *(e.words.replace("CLASS", "ewe").replace("MATERIAL", "straw") for e in words.tables.asked.values()),
    ]
    if given.fuzz:
        pick = random.Random(given.seed)
        pieces = (
            [word for text in texts for word in text.split()]
            + list("0123456789.,/-'\"x%")
            + ["1/2", "3/4", "1.200"]
        )
        began = time.perf_counter()
        for _ in range(given.fuzz):
            text = " ".join(pick.choices(pieces, k=pick.randint(0, 10)))
            understand(text, pick.choice(asked), {}, words)
        print(f"{given.fuzz} random messages read in {time.perf_counter() - began:.0f} s")
        return
    times = []
    for text in texts:
        began = time.perf_counter()
        understand(text, None, {}, words)
        times.append((time.perf_counter() - began) * 1000)
    times.sort()
    print(
        f"{len(times)} messages: median {statistics.median(times):.2f} ms, "
        f"95 % under {times[len(times) * 95 // 100]:.1f} ms, worst {times[-1]:.1f} ms"
    )


if __name__ == "__main__":
    main()
