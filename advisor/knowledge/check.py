"""The checker: every fault of the knowledge base in one run, each with its file, its line and how to mend it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from advisor.knowledge.base import Knowledge, Memory, read_knowledge
from advisor.knowledge.check_asked import check_asked
from advisor.knowledge.check_conditions import check_conditions, unasked_facts
from advisor.knowledge.check_figures import check_figures
from advisor.knowledge.check_files import check_files
from advisor.knowledge.check_links import check_links
from advisor.knowledge.check_prose import check_prose
from advisor.knowledge.check_questions import check_questions
from advisor.knowledge.check_words import check_words
from advisor.knowledge.subject import Subject
from advisor.knowledge.yaml_text import Fault

__all__ = ["CHECKS", "Checked", "check"]


@dataclass(frozen=True)
class Checked:
    """What was read, and everything that is wrong with it."""

    knowledge: Knowledge
    faults: list[Fault]
    unasked: list[str]  # facts that conditions read and no question asks for: only a farm file can tell them


CHECKS: tuple[Callable[[Subject], Iterator[Fault]], ...] = (
    check_links,
    check_figures,
    check_prose,
    check_conditions,
    check_questions,
    check_asked,
    check_words,
    check_files,
)


def check(folder: Path, memory: Memory | None = None) -> Checked:
    """Check a knowledge folder. With a memory (see read_knowledge) only changed files are parsed."""
    knowledge, faults, located = read_knowledge(folder, memory)
    subject = Subject(knowledge, located)
    for one in CHECKS:
        faults += one(subject)
    return Checked(knowledge, sorted(set(faults)), unasked_facts(subject))
