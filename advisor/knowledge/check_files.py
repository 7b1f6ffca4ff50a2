"""Files that are no topics: demo farms must read, sentences must have the places that the program fills."""

from __future__ import annotations

import difflib
import re
import string
from collections import Counter, defaultdict
from collections.abc import Iterator

from advisor.knowledge.code_names import names_in_code, sentence_calls
from advisor.knowledge.subject import Subject
from advisor.knowledge.yaml_text import Fault, Located, Place, read_yaml

__all__ = ["check_files"]

#: (the files, the part of them that holds sentences, the functions that ask for them)
_SENTENCES: tuple[tuple[str, str, frozenset[str]], ...] = (
    ("documents/*.yaml", "", frozenset({"text", "label"})),
    ("phrases/conversation.yaml", "says", frozenset({"sentence"})),
)
_SENTENCE_ID = re.compile(r"[a-z][a-z0-9_]*")


def check_files(subject: Subject) -> Iterator[Fault]:
    """Demo farms, sentences, word tables, and every other YAML file at least for its form."""
    yield from _demo_farms(subject)
    yield from _word_tables(subject)
    seen = set()
    for pattern, part, asked_of in _SENTENCES:
        paths = sorted(subject.folder.glob(pattern))
        seen |= set(paths)
        if paths:
            reads = [read_yaml(path, path.relative_to(subject.folder).as_posix()) for path in paths]
            yield from _sentences(reads, part, asked_of)
    for path in sorted((subject.folder / "phrases").glob("*.yaml")):
        if path not in seen:
            yield from read_yaml(path, path.relative_to(subject.folder).as_posix()).faults


def _demo_farms(subject: Subject) -> Iterator[Fault]:
    from advisor.farm.reading import FarmError, read_farm

    for path in sorted((subject.folder / "demo").glob("*.yaml")):
        try:
            read_farm(path, subject.knowledge)
        except FarmError as wrong:
            file = path.relative_to(subject.folder).as_posix()
            for fault in wrong.faults:
                yield Fault(Place(file, fault.place.line), fault.what, fault.mend)
        except (KeyError, AttributeError, TypeError):
            continue  # an entry that the farm needs did not read, which is told already


def _word_tables(subject: Subject) -> Iterator[Fault]:
    folder = subject.folder / "words"
    if not folder.is_dir():
        return
    from pydantic import ValidationError

    from advisor.language.tables import read_tables

    unread = [
        fault
        for path in sorted(folder.glob("*.yaml"))
        for fault in read_yaml(path, f"words/{path.name}").faults
    ]
    if unread:
        yield from unread
        return
    try:
        yield from read_tables(folder)[1]
    except ValidationError as wrong:
        for error in wrong.errors():
            yield Fault(Place(f"words/{error['loc'][0]}.yaml", 1), f"this table is wrong: {error['msg']}")
    except (AttributeError, TypeError, KeyError, ValueError) as wrong:
        yield Fault(Place("words", 1), f"the word tables cannot be read: {wrong}")


def _sentences(reads: list[Located], part: str, asked_of: frozenset[str]) -> Iterator[Fault]:
    """Each place in a sentence is one that the program fills, and each sentence asked for is there."""
    calls = [
        call
        for call in sentence_calls()
        if call.asked_of in asked_of and _SENTENCE_ID.fullmatch(call.sentence)
    ]
    filled: dict[str, set[str]] = defaultdict(set)
    for call in calls:
        filled[call.sentence] |= call.filled
    open_ended = {call.sentence for call in calls if call.anything}
    base = (part,) if part else ()
    unasked: dict[str, Place] = {}
    held: Counter[str] = Counter()
    for read in reads:
        found = read.data.get(part) if part and isinstance(read.data, dict) else read.data
        held.update(list(found) if isinstance(found, dict) else ())
    for read in reads:
        yield from read.faults
        sentences = read.data.get(part) if part and isinstance(read.data, dict) else read.data
        if not isinstance(sentences, dict):
            if not read.faults:
                yield Fault(
                    Place(read.file, 1), "holds no sentences", f"put them under `{part}:`" if part else ""
                )
            continue
        for key, text in sentences.items():
            place = read.place((*base, key))
            if key not in names_in_code():
                unasked[key] = place
            try:
                wanted = _places(str(text))
            except ValueError as fault:
                yield Fault(
                    place, f"'{key}' is not readable as a sentence: {fault}", "close every { with a }"
                )
                continue
            if key in filled and key not in open_ended and held[key] == 1:
                for name in sorted(wanted - filled[key]):
                    mend = f"filled in: {', '.join(sorted(filled[key])) or 'nothing'}"
                    yield Fault(place, f"'{key}' has a place '{{{name}}}' that is never filled", mend)
    for name in sorted(set(filled) - set(held)):
        if close := difflib.get_close_matches(name, unasked, 1):
            what = f"the program asks for a sentence '{name}', which is not there"
            yield Fault(unasked[close[0]], what, f"is '{close[0]}' meant?")


def _places(text: str) -> set[str]:
    return {re.split(r"[.\[]", name)[0] for _, name, _, _ in string.Formatter().parse(text) if name}
