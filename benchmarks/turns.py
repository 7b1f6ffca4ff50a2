"""How long turns take, and what the first question costs: `python -m benchmarks.turns`.

Turns are measured as a terminal has them: the plan is worked out while the user types (`think`).
Times are CPU of this process, so that other work on the machine does not count.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import time
from pathlib import Path

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
    spent_cpu = sorted(first_question_cpu() for _ in range(9))
    print(
        f"first question on screen: {spent_cpu[4]:.2f} s CPU in the middle of 9, at most {spent_cpu[-1]:.2f}"
    )


def first_question_cpu() -> float:
    """CPU seconds of a fresh program until its first question can be read. (Linux: from /proc.)"""
    command = [sys.executable, "-c", "from advisor.cli import main; main()", "chat", "--case", "benchmark"]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as program:
        assert program.stdin
        assert program.stdout
        while "?" not in program.stdout.readline():
            pass
        fields = Path(f"/proc/{program.pid}/stat").read_text().rsplit(")", 1)[1].split()
        program.stdin.close()
        program.stdout.read()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


if __name__ == "__main__":
    main()
