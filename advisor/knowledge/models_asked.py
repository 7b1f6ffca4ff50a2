"""The form of the questions that keepers ask, and of what they are answered (knowledge/asked)."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from advisor.knowledge.figure import Strict

__all__ = ["Asked", "Said"]


class Said(Strict):
    """One answer. It is given where its condition holds and every {place} in it can be filled.

    A place is a result of the plan, a figure of the knowledge base, or what a working of `worked` gives.
    It is said with its range; {place:value} is the middle alone.
    """

    when: str = Field(
        "true", description="condition over facts, results and what is worked out for the question"
    )
    says: str = Field(description="the answer, plainly, the number with its range")
    points: str = Field("", description="a working that gives a list, shown under the answer")
    because: str = Field("", description="the reason")
    way_on: str = Field("", description="what to do next")


class Asked(Strict):
    """A question that keepers ask, in the patterns of knowledge/words; the first answer that fits is given."""

    words: tuple[str, ...] = Field(
        description="patterns; of several questions met, the one whose pattern is longest"
    )
    worked: tuple[str, ...] = Field(
        (), description="workings that fill further places: see advisor/dialogue/workings"
    )
    opens: str = Field("", description="the result whose working 'how' opens")
    also: tuple[str, ...] = Field(
        (), description="figures whose evidence 'source' shows besides those in the answer"
    )
    hands_to: dict[str, str] = Field(
        default_factory=dict,
        description="another entry that answers instead, and the condition under which it does",
    )
    does: Literal["", "season", "progress", "show_plan", "next_week"] = Field(
        "", description="the command that answers it where there is a plan"
    )
    in_trouble: bool = Field(False, description="answered even where the message tells of a trouble")
    with_numbers: bool = Field(
        False, description="answered even where the question names a number of animals"
    )
    answers: tuple[Said, ...] = Field(min_length=1)
    sources: tuple[str, ...] = ()
