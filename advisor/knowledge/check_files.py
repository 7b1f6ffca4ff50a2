"""Files that are no topics: demo farms must read, sentences must have the places that the program fills."""

from __future__ import annotations

import difflib
import string
from collections import defaultdict
from collections.abc import Iterator

from advisor.knowledge.code_names import names_in_code, sentence_calls
from advisor.knowledge.subject import Subject
from advisor.knowledge.yaml_text import Fault, Located, Place, read_yaml

__all__ = ["check_files"]

#: file: (the part of it that holds sentences, the functions that ask for them)
_SENTENCES: dict[str, tuple[str, frozenset[str]]] = {
    "documents/plan.yaml": ("", frozenset({"text"})),
    "documents/labels.yaml": ("", frozenset({"label"})),
    "phrases/conversation.yaml": ("says", frozenset({"sentence"})),
}


def check_files(subject: Subject) -> Iterator[Fault]:
    """Demo farms, sentences, word tables, and every other YAML file at least for its form."""
    yield from _demo_farms(subject)
    yield from _word_tables(subject)
    for file, (part, asked_of) in _SENTENCES.items():
        if (subject.folder / file).is_file():
            yield from _sentences(read_yaml(subject.folder / file, file), part, asked_of)
    for path in sorted((subject.folder / "phrases").glob("*.yaml")):
        file = path.relative_to(subject.folder).as_posix()
        if file not in _SENTENCES:
            yield from read_yaml(path, file).faults


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
    if folder.is_dir():
        from advisor.language.tables import read_tables

        yield from read_tables(folder)[1]


def _sentences(read: Located, part: str, asked_of: frozenset[str]) -> Iterator[Fault]:
    yield from read.faults
    if not isinstance(read.data, dict):
        return
    sentences = read.data.get(part) if part else read.data
    base: tuple[str, ...] = (part,) if part else ()
    if not isinstance(sentences, dict):
        yield Fault(
            Place(read.file, 1), f"holds no sentences under '{part}'" if part else "holds no sentences"
        )
        return
    calls = [call for call in sentence_calls() if call.asked_of in asked_of]
    filled: dict[str, set[str]] = defaultdict(set)
    for call in calls:
        filled[call.sentence] |= call.filled
    asked = set(filled)
    open_ended = {call.sentence for call in calls if call.anything}
    for key, text in sentences.items():
        place = read.place((*base, key))
        try:
            wanted = {
                name.split(".")[0].split("[")[0]
                for _, name, _, _ in string.Formatter().parse(str(text))
                if name
            }
        except ValueError as fault:
            yield Fault(place, f"'{key}' is not readable as a sentence: {fault}", "close every { with a }")
            continue
        for name in sorted(wanted - filled[key]):
            if key in asked and key not in open_ended:
                mend = ", ".join(sorted(filled[key])) or "nothing"
                yield Fault(
                    place, f"'{key}' has a place '{{{name}}}' that is never filled", f"filled in: {mend}"
                )
    unknown = [key for key in sentences if key not in names_in_code()]
    for name in sorted({call.sentence for call in calls} - set(sentences)):
        close = difflib.get_close_matches(name, unknown, 1)
        if close:
            place = read.place((*base, close[0]))
            yield Fault(place, f"the program asks for a sentence '{name}'", f"is '{close[0]}' meant?")
        else:
            yield Fault(
                Place(read.file, 1), f"the program asks for a sentence '{name}', which is missing", "add it"
            )
