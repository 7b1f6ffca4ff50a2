"""Weigh the words of danger: fit knowledge/words/danger_points.yaml to the messages whose meaning is known.

    python -m benchmarks.weigh_danger [--leave-out blind2 ...] [--write]

Points are ten times the weights of a logistic scale, most of them driven to nothing so that a short table is left.
With --leave-out a set is kept aside and the rest is judged on it; nothing is written then.
"""

from __future__ import annotations

import argparse
import datetime as dt
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
from scipy.sparse import csr_matrix

from advisor.knowledge import knowledge
from advisor.knowledge.yaml_text import read_yaml
from advisor.language import lexicon
from advisor.language.points import features, members
from advisor.language.scan import scan

ROOT = Path(__file__).resolve().parents[1]
TABLE = ROOT / "knowledge" / "words" / "danger_points.yaml"
SETS = ("own", "unseen", "fresh", "blind", "blind2", "blind3", "danger")
HEAD = """\
# How far each word speaks for an emergency, in points: what is found in a message is added to `base`.
# At `enough` it is taken for an emergency even where no sign of knowledge/words/alarms.yaml stands in it; a turn of
# speech, a 'what if' or the past takes `calmed` off first. Below `doubtful` a sign alone is not believed. A word is
# written by its root, {group} and <tag> as in the patterns; two with a space between stand side by side. `kinds` says
# which emergency it is, where no sign does.
# Fitted by `python -m benchmarks.weigh_danger --write` to the messages in tests; points may be changed by hand.
"""
#: Words that speak for nothing by themselves or beside each other.
_PLAIN_WORDS = (
    "a an the and in on of to it is are be was were at with for that this ther there stil still so just but or as "
    "{be} {ask} {self_or_person} {came_down_on} . <unit> {domain_words} do you i my we our"
)
PLAIN = frozenset(_PLAIN_WORDS.split())
DAY = dt.date(2026, 11, 1)


def messages() -> list[tuple[str, str | None, str, str, str]]:
    """(text, question asked, kind, alarm, set) of every message whose meaning is known."""
    out = []
    for name in SETS:
        for item in read_yaml(ROOT / "tests" / "messages" / f"{name}.yaml", name).data:
            asked = item.get("context")
            alarm = (item.get("expect") or {}).get("alarm") or [""]
            out.append((str(item["text"]), None if asked == "open" else asked, item["kind"], alarm[0], name))
    kind = ""
    for line in (ROOT / "tests" / "language" / "kinds.txt").read_text(encoding="utf-8").splitlines():
        if line.startswith("["):
            kind = line[1:-1]
        elif line and not line.startswith("#"):
            asked, _, text = line[2:].partition(" | ") if line.startswith("? ") else (None, "", line)
            out.append((text, asked, kind, "", "kinds"))
    for line in (ROOT / "tests" / "messages" / "calm.txt").read_text(encoding="utf-8").splitlines():
        if not line.startswith("#"):
            out.append((line, None, "other", "", "calm"))
    for path in sorted((ROOT / "transcripts_demo").glob("*.yaml")):
        for turn in read_yaml(path, path.name).data["turns"]:
            told = turn["say"]
            alarm = any("alarm" in str(line)[:8] for line in turn.get("reply", ()))
            out.append((str(told), None, "danger" if alarm else "other", "", "demo"))
    return out


def fit(table: csr_matrix, wanted: Any, penalty: float, rounds: int = 1500) -> tuple[Any, float]:
    """Weights and base of a logistic scale with an L1 penalty, by accelerated proximal descent."""
    step = 1.0 / (0.25 * float(np.asarray(table.multiply(table).sum(axis=1)).max()) * 12 + 1e-9)
    weights = ahead = np.zeros(table.shape[1])
    base = base_ahead = 0.0
    turn = 1.0
    for _ in range(rounds):
        wrong = 1.0 / (1.0 + np.exp(-(table @ ahead + base_ahead))) - wanted
        new = ahead - step * (table.T @ wrong)
        new = np.sign(new) * np.maximum(np.abs(new) - step * penalty, 0.0)
        new_base = base_ahead - step * float(wrong.sum())
        next_turn = (1.0 + np.sqrt(1.0 + 4.0 * turn * turn)) / 2.0
        push = (turn - 1.0) / next_turn
        ahead, base_ahead = new + push * (new - weights), new_base + push * (new_base - base)
        weights, base, turn = new, new_base, next_turn
    return weights, base


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--leave-out", nargs="*", default=[])
    parser.add_argument("--write", action="store_true")
    options = parser.parse_args()
    words = lexicon(knowledge())
    known = members(words.groups)
    told = messages()
    found = [features(scan(text, asked, words, DAY).tokens, known) for text, asked, *_ in told]
    danger = np.array([kind == "danger" for _, _, kind, _, _ in told], dtype=float)
    aside = np.array([name in options.leave_out for *_, name in told])
    counts = Counter(one for each, out in zip(found, aside, strict=True) if not out for one in each)
    names = sorted(one for one, count in counts.items() if count >= 2 and not set(one.split()) <= PLAIN)
    table = _table(found, names)
    weights, base = fit(table[~aside], danger[~aside], 0.5)
    print(f"{int((np.abs(weights) >= 0.05).sum())} words, base {base:.2f}")
    if options.leave_out:
        score = table[aside] @ weights + base
        for mark in (-2.0, -1.0, -0.5, 0.0, 0.5):
            caught, cried = (
                (score > mark)[danger[aside] == 1].mean(),
                (score > mark)[danger[aside] == 0].mean(),
            )
            print(f"from {mark:+.1f}: caught {caught:.3f}, cried {cried:.3f}")
        return
    if options.write:
        kinds = sorted({alarm for *_, alarm, _ in told if alarm})
        chosen = np.array([bool(alarm) for *_, alarm, _ in told])
        single = [number for number, name in enumerate(names) if " " not in name]
        small = table[chosen][:, single]
        by_kind = {}
        for kind in kinds:
            mine, start = fit(small, np.array([a == kind for *_, a, _ in told], dtype=float)[chosen], 0.5)
            by_kind[kind] = {"": start, **{names[single[n]]: w for n, w in enumerate(mine)}}
        TABLE.write_text(_yaml(dict(zip(names, weights, strict=True)), base, by_kind), encoding="utf-8")


def _table(found: list[set[str]], names: list[str]) -> csr_matrix:
    at = {name: number for number, name in enumerate(names)}
    rows, columns = [], []
    for row, each in enumerate(found):
        for one in each:
            if one in at:
                rows.append(row)
                columns.append(at[one])
    return csr_matrix((np.ones(len(rows)), (rows, columns)), shape=(len(found), len(names)))


def _yaml(weights: dict[str, float], base: float, kinds: dict[str, dict[str, float]]) -> str:
    lines = [HEAD + f"base: {round(10 * base)}", "enough: 2", "calmed: 6", "doubtful: -20", "points:"]
    lines += [f"  {_quoted(name)}: {round(10 * w)}" for name, w in _strongest(weights)]
    lines.append("kinds:")
    for kind, told in kinds.items():
        lines.append(f"  {kind}:")
        lines += [f"    {_quoted(name)}: {round(10 * w)}" for name, w in _strongest(told)]
    return "\n".join(lines) + "\n"


def _strongest(weights: dict[str, float]) -> list[tuple[str, float]]:
    return sorted(((n, w) for n, w in weights.items() if round(10 * w)), key=lambda pair: (-pair[1], pair[0]))


def _quoted(name: str) -> str:
    return '"' + name.replace("\\", "\\\\").replace('"', '\\"') + '"'


if __name__ == "__main__":
    main()
