"""The lexicon kept in the cache folder: built once for each state of the word tables and of the code that reads them.

Its patterns are kept as lines with their key words, and each is put together when a message first needs it.
"""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from pathlib import Path
from typing import Any

from advisor.knowledge.compiled import load, store
from advisor.knowledge.stored import as_plain, maker
from advisor.language.lexicon import PATTERN_SETS, Lexicon, Name, NameIndex
from advisor.language.patterns import Grammar, PatternSet
from advisor.language.tables import Tables

__all__ = ["keep", "kept_lexicon", "state_key"]

_READ = ("words", "animals", "materials")


def state_key(folder: Path) -> str:
    """A digest over the tables that make the lexicon and the code that reads them."""
    here = Path(__file__).resolve().parent
    files = [*sorted(here.glob("*.py")), *(p for at in _READ for p in sorted((folder / at).rglob("*.yaml")))]
    digest = hashlib.sha256()
    for path in files:
        data = path.read_bytes()
        digest.update(f"{path.name}\0{len(data)}\0".encode())
        digest.update(data)
    return digest.hexdigest()


def _names(index: NameIndex) -> list[list[Any]]:
    return [[" ".join(run), name.kind, name.value, name.weak, name.refused] for run, name in index.entries()]


def keep(lexicon: Lexicon, folder: Path, key: str) -> None:
    """Write the lexicon to the cache folder. Where that fails it only costs time."""
    sets = {name: getattr(lexicon, name).index() for name in PATTERN_SETS}
    store(
        folder / "words",
        key,
        {
            "tables": as_plain(lexicon.tables),
            "names": _names(lexicon.names),
            "units": _names(lexicon.units),
            "plain": [lexicon.species, lexicon.entries, {k: sorted(v) for k, v in lexicon.lists.items()}],
            "groups": lexicon.groups,
            "rewrites": {k: [[list(a), list(b)] for a, b in v] for k, v in lexicon.rewrites.items()},
            "known": [sorted(lexicon.known), list(lexicon.typo_targets)],
            "patterns": sets,
            "expanded": lexicon.grammar.expanded(),
        },
    )


def kept_lexicon(folder: Path, key: str) -> Lexicon | None:
    """The lexicon from the cache folder, where there is a sound one of this state."""
    parts = load(folder / "words", key)
    if parts is None:
        return None
    read = {name: json.loads(text) for name, text in parts.items() if name != "patterns"}
    rewrites = defaultdict(
        list, {k: [(tuple(a), tuple(b)) for a, b in v] for k, v in read["rewrites"].items()}
    )
    species, entries, lists = read["plain"]
    lexicon = Lexicon(
        maker(Tables)(read["tables"]), _index(read["names"]), _index(read["units"]), species, entries,
        {k: frozenset(v) for k, v in lists.items()}, read["groups"], rewrites,
    )  # fmt: skip
    grammar = Grammar(lexicon.groups, lexicon.rewrite, read["expanded"])
    ready = lexicon.__dict__  # where cached properties live
    ready["grammar"] = grammar
    ready["known"], ready["typo_targets"] = frozenset(read["known"][0]), tuple(read["known"][1])
    for name, index in json.loads(parts["patterns"]).items():
        ready[name] = PatternSet.kept(index, grammar)
    return lexicon


def _index(rows: list[list[Any]]) -> NameIndex:
    index = NameIndex()
    for run, kind, value, weak, refused in rows:
        index.put(tuple(run.split(" ")), Name(kind, value, weak, refused))
    return index
