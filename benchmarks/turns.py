"""How long turns take, and what the first question costs: `python -m benchmarks.turns`.

Turns are measured as a terminal has them: the plan is worked out while the user types (`think`).
Times are CPU of this process, so that other work on the machine does not count.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time

from advisor.casebook import new_case
from advisor.cli.chat import collect_rarely
from advisor.dialogue.hearing import context_for
from advisor.dialogue.turn import think, turn
from advisor.knowledge import knowledge
from tests.replay import names, read


def main() -> None:
    """Measure and tell."""
    spent: list[tuple[float, str]] = []
    knowledge()
    collect_rarely()
    for name in names():
        script = read(name)
        context = context_for(knowledge(), script["today"])
        case = new_case(name, script["today"], "animals")
        turn(
            case, "hello there", context
        )  # the words of the language are read while the first answer is typed
        for told in script["turns"]:
            began = time.process_time()
            case, _, _ = turn(case, told["say"], context)
            spent.append((time.process_time() - began, f"{name}: {told['say']}"))
            think(case, context)
    spent.sort()
    middle, high = spent[len(spent) // 2], spent[int(0.99 * len(spent))]
    print(f"{len(spent)} turns: median {middle[0] * 1000:.0f} ms, 99th percentile {high[0] * 1000:.0f} ms")
    for seconds, what in spent[-5:]:
        print(f"  {seconds * 1000:.0f} ms  {what}")
    print(f"most memory: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
    command = [sys.executable, "-c", "from advisor.cli import main; main()", "chat", "--case", "benchmark"]
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    for _ in range(5):
        subprocess.run(command, input=b"", capture_output=True, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    print(f"first question: {cpu / 5:.2f} s CPU from start to end of program")


if __name__ == "__main__":
    main()
