"""The lexicon: every name, unit, number word and pattern the reader knows, built once from the knowledge base."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from advisor.knowledge import Knowledge, KnowledgeError
from advisor.language.patterns import Grammar, PatternSet
from advisor.language.points import Members, members
from advisor.language.tables import Tables, Unit, read_tables, split_words
from advisor.language.text import plain, root, stem, tokenise

__all__ = ["PATTERN_SETS", "Lexicon", "Name", "NameIndex", "build_lexicon"]

#: the pattern sets of a lexicon, by the name of their property
PATTERN_SETS = (
    "symptoms", "alarm_signs", "alarm_always", "alarm_calm", "acts", "question_cues", "navigation", "outside", "topics",
    "choice_signs", "choice_anywhere", "no_day", "unasked",
)  # fmt: skip

Words = tuple[str, ...]
Rewrites = Mapping[str, list[tuple[Words, Words]]]


@dataclass(frozen=True)
class Name:
    """A name found in the lexicon: of an animal, a material, a breed or a unit."""

    kind: str
    value: str
    weak: bool = False  # read as this only beside an amount
    refused: bool = False  # never read as this without an amount, however it is asked


class NameIndex:
    """Names of one or more words, longest first."""

    def __init__(self) -> None:
        self._by_first: dict[str, list[tuple[Words, Name]]] = defaultdict(list)

    def add(self, words: Words, name: Name, override: bool = True) -> None:
        """Add a name; one already there stays unless told to override it."""
        bucket = self._by_first[words[0]]
        for index, (old, _) in enumerate(bucket):
            if old == words:
                if override:
                    bucket[index] = (words, name)
                return
        bucket.append((words, name))
        bucket.sort(key=lambda entry: -len(entry[0]))

    def put(self, words: Words, name: Name) -> None:
        """Add a name in the order it once stood in."""
        self._by_first[words[0]].append((words, name))

    def entries(self) -> Iterable[tuple[Words, Name]]:
        """Every name with its words, longest first among those that start alike."""
        for bucket in self._by_first.values():
            yield from bucket

    def match(self, words: list[str], at: int) -> tuple[Name, int] | None:
        """The longest name at a place and the place after it."""
        for run, name in self._by_first.get(words[at], ()):
            if tuple(words[at : at + len(run)]) == run:
                return name, at + len(run)
        return None

    def first_words(self) -> Iterable[str]:
        """Every word of every name."""
        for bucket in self._by_first.values():
            for run, _ in bucket:
                yield from run


def _spelling(tables: Tables) -> Rewrites:
    found: dict[str, list[tuple[Words, Words]]] = defaultdict(list)
    for old, new in tables.spelling.items():
        words = _texts(old)
        found[words[0]].append((words, tuple(new.split())))
    for bucket in found.values():
        bucket.sort(key=lambda entry: -len(entry[0]))
    return found


def rewrite_words(words: list[str], rewrites: Rewrites) -> list[str]:
    """The words as they are read, after the spelling table."""
    out: list[str] = []
    at = 0
    while at < len(words):
        for old, new in rewrites.get(words[at], ()):
            if tuple(words[at : at + len(old)]) == old:
                out += new
                at += len(old)
                break
        else:
            out.append(words[at])
            at += 1
    return out


def _stems(text: str, rewrites: Rewrites) -> Words:
    return tuple(
        stem(word) for word in rewrite_words([token.text for token in tokenise(plain(text))], rewrites)
    )


def _texts(text: str) -> Words:
    return tuple(token.text for token in tokenise(plain(text)))


@dataclass(frozen=True)
class Lexicon:
    """What words mean."""

    tables: Tables
    names: NameIndex
    units: NameIndex
    species: Mapping[str, str]
    entries: Mapping[str, str]  # name as read -> id of its entry in the knowledge base
    lists: Mapping[str, frozenset[str]]
    groups: Mapping[str, list[str]] = field(repr=False)
    rewrites: Rewrites = field(repr=False)

    def unit(self, name: str) -> Unit:
        """A unit by its name."""
        return self.tables.units[name]

    def phrases(self, group: str) -> list[str]:
        """The members of a group as they stand in a line of tokens, with a space on either side."""
        return [f" {member} " for member in self.groups[group]]

    def rewrite(self, words: list[str]) -> list[str]:
        """The words as they are read."""
        return rewrite_words(words, self.rewrites)

    @cached_property
    def grammar(self) -> Grammar:
        """What patterns are compiled with."""
        return Grammar(self.groups, self.rewrite)

    def _set(self, named: Mapping[str, str], by_text: bool = False) -> PatternSet:
        return PatternSet(named, self.grammar, by_text)

    @cached_property
    def symptoms(self) -> PatternSet:
        """Signs of trouble."""
        return self._set(self.tables.symptoms)

    @cached_property
    def alarm_signs(self) -> PatternSet:
        """Signs of an emergency."""
        return self._set({name: alarm.signs for name, alarm in self.tables.alarms.items() if alarm.signs})

    @cached_property
    def alarm_always(self) -> PatternSet:
        """Signs of an emergency that nothing cancels."""
        return self._set({name: alarm.always for name, alarm in self.tables.alarms.items() if alarm.always})

    @cached_property
    def alarm_calm(self) -> PatternSet:
        """What cancels them."""
        return self._set(
            {name: alarm.calm for name, alarm in self.tables.alarms.items() if alarm.calm}, by_text=True
        )

    @cached_property
    def members(self) -> Members:
        """The groups that each single word belongs to."""
        return members(self.groups)

    @cached_property
    def acts(self) -> PatternSet:
        """Cues of what a message does."""
        return self._set(self.tables.acts)

    @cached_property
    def question_cues(self) -> PatternSet:
        """Cues that a stretch asks, wherever its question word stands."""
        return self._set({name: self.tables.acts[name] for name in ("asks", "what_if")})

    @cached_property
    def navigation(self) -> PatternSet:
        """Commands."""
        return self._set(self.tables.navigation)

    @cached_property
    def outside(self) -> PatternSet:
        """Matters for someone else."""
        return self._set({topic: entry.signs for topic, entry in self.tables.outside.items()})

    @cached_property
    def topics(self) -> PatternSet:
        """What a question is about."""
        return self._set(self.tables.topics)

    @cached_property
    def choice_signs(self) -> PatternSet:
        """Words for choices, when the question was asked."""
        return self._set({name: choice.signs for name, choice in self.tables.choices.items()})

    @cached_property
    def choice_anywhere(self) -> PatternSet:
        """Phrases that choose without being asked."""
        return self._set({n: c.anywhere for n, c in self.tables.choices.items() if c.anywhere})

    @cached_property
    def no_day(self) -> PatternSet:
        """Times that name no day."""
        return self._set({"no day": self.tables.dates.no_day})

    @cached_property
    def unasked(self) -> PatternSet:
        """Answers told in passing."""
        return self._set({name: entry.signs for name, entry in self.tables.unasked.items()})

    @cached_property
    def known(self) -> frozenset[str]:
        """Every word that means something: never taken for a slip of another."""
        words: set[str] = set(self.names.first_words()) | set(self.units.first_words())
        tables = self.tables
        for block in (
            *tables.symptoms.values(), *tables.acts.values(), *tables.navigation.values(), *tables.groups.values(),
            *(a.signs + " " + a.always + " " + a.calm for a in tables.alarms.values()),
            *(o.signs for o in tables.outside.values()), *(u.signs for u in tables.unasked.values()),
            *(c.signs + " " + c.anywhere for c in tables.choices.values()), *tables.topics.values(),
            *(" , ".join(words) for words in self.lists.values()), *tables.spelling.values(),
            tables.numbers.vague, *tables.dates.feasts,
            *tables.dates.parts, *tables.dates.months, *tables.dates.weekdays,
        ):  # fmt: skip
            # piece by piece: one message is read only up to a length, and some tables are longer
            for piece in block.replace("_", " ").replace(",", "\n").splitlines():
                words.update(token.text for token in tokenise(plain(piece)) if token.kind == "word")
        numbers = tables.numbers
        for more in (
            numbers.small,
            numbers.multiplier,
            numbers.couple,
            numbers.fraction,
            numbers.ordinal,
            numbers.about,
        ):
            words.update(more)
        return frozenset(words | {stem(word) for word in words} | {root(word) for word in words})

    @cached_property
    def typo_targets(self) -> tuple[str, ...]:
        """Words that a slip may stand for: names, months and the words of signs; never units, numbers or 'not'."""
        words = {word for word in self.names.first_words() if len(word) >= 4 and word.isalpha()}
        words |= {m for m in self.tables.dates.months if len(m) >= 5}
        words |= set(self.lists["typo_targets"])
        return tuple(sorted(words - self.lists["not_typos"]))


def _add_names(
    index: NameIndex, kind: str, name: str, words: str, only_counted: str, refused: str, rewrites: Rewrites
) -> None:
    weak = {_stems(word, rewrites) for word in split_words(only_counted)}
    no = {_stems(word, rewrites) for word in split_words(refused)}
    for word in [name, *split_words(words), *split_words(only_counted)]:
        run = _stems(word, rewrites)
        if run:
            index.add(run, Name(kind, name, weak=run in weak, refused=run in no))
            if run[-1].endswith("ie"):  # belties read as belty
                index.add(
                    (*run[:-1], run[-1][:-2] + "y"), Name(kind, name, run in weak, run in no), override=False
                )


def _entries(tables: Tables, knowledge: Knowledge) -> dict[str, str]:
    """Which entry each name here stands for: by the same name, else by any word the two share."""
    found: dict[str, str] = {}
    topics: tuple[tuple[Mapping[str, Any], Mapping[str, Any]], ...] = (
        (tables.extra_animals, knowledge.animals),
        (tables.extra_materials, knowledge.materials),
    )
    for here, there in topics:
        by_word: dict[str, str] = {}
        for entry_id, entry in there.items():
            for word in entry.words:
                by_word.setdefault(word.lower(), entry_id)
        for entry_id, entry in there.items():
            by_word[entry.name.lower()] = entry_id
            found[entry.name] = entry_id
        for name, words in here.items():
            shared = [by_word[w] for w in (name, *split_words(words.words)) if w in by_word]
            if name not in found and shared:
                found[name] = shared[0]
    return found


def _only_packed(index: NameIndex, run: Words) -> bool:
    """'corn stalk bales': a name known without its last word, which is a pack that may be counted."""
    found = index.match(list(run[:-1]), 0) if len(run) > 2 and run[-1] == "bale" else None
    return found is not None and found[1] == len(run) - 1 and not found[0].weak


def _list(words: str) -> frozenset[str]:
    """A list with commas after its members, or of single words and signs (which may hold a comma)."""
    commas = any(len(part) > 1 and part.endswith(",") for part in words.split())
    return frozenset(split_words(words) if commas else words.split())


def build_lexicon(knowledge: Knowledge, folder: Path | None = None) -> Lexicon:
    """Build from the word tables and the names in the knowledge base. Raises KnowledgeError on a bad table."""
    tables, faults = read_tables(folder or knowledge.folder / "words")
    if tables is None or faults:
        raise KnowledgeError(faults)
    rewrites = _spelling(tables)
    names, units = NameIndex(), NameIndex()
    species = {name: entry.species for name, entry in tables.extra_animals.items()}
    for name, material in tables.extra_materials.items():
        _add_names(names, "material", name, material.words, material.only_counted, "", rewrites)
    for breed_id, breed in tables.breeds.items():
        for word in split_words(breed.words):
            run = _stems(word, rewrites)
            names.add(run, Name("breed", breed_id))
            if run[-1].endswith("ie"):
                names.add((*run[:-1], run[-1][:-2] + "y"), Name("breed", breed_id), override=False)
    for name, animal in tables.extra_animals.items():
        _add_names(names, "animal", name, animal.words, animal.only_counted, animal.not_alone, rewrites)
    for entry in knowledge.animals.values():
        species.setdefault(entry.name, entry.species)
        for word in (entry.name, entry.plural, *entry.words):
            if run := _stems(word, rewrites):
                names.add(run, Name("animal", entry.name), override=False)
    for stuff in knowledge.materials.values():
        for word in (stuff.name, *stuff.words):
            if (run := _stems(word, rewrites)) and not _only_packed(names, run):
                weak = stuff.kind not in ("bedding", "manure") and len(run) == 1
                names.add(run, Name("material", stuff.name, weak=weak), override=False)
    for name, unit in tables.units.items():
        for word in [name, *split_words(unit.words)]:
            units.add(_texts(word), Name("unit", name), override=False)
    groups = {name: split_words(words) for name, words in tables.groups.items()}
    lists = {name: _list(words) for name, words in tables.lists.items()}
    return Lexicon(tables, names, units, species, _entries(tables, knowledge), lists, groups, rewrites)
