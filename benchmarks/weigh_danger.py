"""Weigh the words of danger: fit knowledge/words/danger_points.yaml to the messages whose meaning is known.

    python -m benchmarks.weigh_danger [--leave-out blind2 ...] [--fifths danger] [--write]

Points are ten times the weights of a logistic scale, most of them driven to nothing so that a short table is left.
With --leave-out whole sets are kept aside, with --fifths each fifth of one in turn, and the points fitted to the rest
are judged on them by themselves, without signs; nothing is written then.
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
from advisor.language.points import features, marks, members, pieces
from advisor.language.scan import scan

ROOT = Path(__file__).resolve().parents[1]
TABLE = ROOT / "knowledge" / "words" / "danger_points.yaml"
SETS = (
    "own",
    "unseen",
    "fresh",
    "blind",
    "blind2",
    "blind3",
    "blind4",
    "blind5",
    "blind7",
    "blind8",
    "danger",
)
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
    for name in ("calm", "chatter"):
        for line in (ROOT / "tests" / "messages" / f"{name}.txt").read_text(encoding="utf-8").splitlines():
            if not line.startswith("#"):
                out.append((line, None, "other", "", name))
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


Message = tuple[bool, str, str, list[set[str]]]


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--leave-out", nargs="*", default=[])
    parser.add_argument("--fifths")
    parser.add_argument("--write", action="store_true")
    options = parser.parse_args()
    words = lexicon(knowledge())
    known = members(words.groups)
    told: list[Message] = []
    for text, asked, kind, alarm, name in messages():
        tokens = scan(text, asked, words, DAY).tokens
        found = marks(tokens, known)
        told.append((kind == "danger", alarm, name, [features(found[a:b]) for a, b in pieces(tokens)]))
    if options.leave_out:
        _judge([one for one in told if one[2] not in options.leave_out],
               [one for one in told if one[2] in options.leave_out])  # fmt: skip
    elif options.fifths:
        mine = [one for one in told if one[2] == options.fifths]
        rest = [one for one in told if one[2] != options.fifths]
        for part in range(5):
            _judge([*rest, *(one for n, one in enumerate(mine) if n % 5 != part)], mine[part::5])
    else:
        weights, base = _weigh(told)
        print(f"{sum(abs(w) >= 0.05 for w in weights.values())} words, base {base:.2f}")
        if options.write:
            TABLE.write_text(_yaml(weights, base, _by_kind(told)), encoding="utf-8")


def _weigh(told: list[Message]) -> tuple[dict[str, float], float]:
    """Fitted to emergencies as a whole, and to every piece of what is calm: none of its pieces may cry."""
    rows = [(danger, one) for danger, *_, each in told for one in (each[:1] if danger else each)]
    found = [one for _, one in rows]
    counts = Counter(one for *_, each in told for one in each[0])
    names = sorted(one for one, count in counts.items() if count >= 2 and not set(one.split()) <= PLAIN)
    weights, base = fit(_table(found, names), np.array([float(danger) for danger, _ in rows]), 0.5)
    return dict(zip(names, (float(w) for w in weights), strict=True)), base


def _judge(told: list[Message], aside: list[Message]) -> None:
    weights, base = _weigh(told)
    score = np.array(
        [base + max(sum(weights.get(f, 0.0) for f in one) for one in each) for *_, each in aside]
    )
    danger = np.array([one[0] for one in aside])
    for mark in (-0.5, 0.0, 0.2, 0.5):
        caught, cried = (int((part > mark).sum()) for part in (score[danger], score[~danger]))
        print(f"from {mark:+.1f}: caught {caught} of {danger.sum()}, cried {cried} of {(~danger).sum()}")


def _by_kind(told: list[Message]) -> dict[str, dict[str, float]]:
    """Points for each kind of emergency, by single words."""
    chosen = [(alarm, each[0]) for _, alarm, _, each in told if alarm]
    names = sorted({one for _, found in chosen for one in found if " " not in one})
    table = _table([found for _, found in chosen], names)
    out = {}
    for kind in sorted({alarm for alarm, _ in chosen}):
        weights, start = fit(table, np.array([float(alarm == kind) for alarm, _ in chosen]), 0.5)
        out[kind] = {"": start, **dict(zip(names, (float(w) for w in weights), strict=True))}
    return out


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
    lines = [HEAD + f"base: {round(10 * base)}", "enough: 1", "calmed: 6", "doubtful: -20", "points:"]
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
