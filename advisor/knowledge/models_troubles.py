"""What the knowledge base holds about troubles: signs, causes, checks, remedies, dangers, and what never to do.

A link between a cause and a sign or check says in words how often the one goes with the other; the numbers
behind the words are figures (knowledge/figures/troubles.yaml). Every link says why.
"""

from __future__ import annotations

from typing import Literal

from pydantic import ConfigDict, Field, model_validator

from advisor.knowledge.figure import Seen, Strict

__all__ = [
    "FOLDERS", "Cause", "Check", "CheckLink", "CheckResult", "Danger", "Lean", "Link", "Never", "Place", "Remedy",
    "Sign", "Strength",
]  # fmt: skip

#: topic -> where its files stand, for topics that share a folder
FOLDERS: dict[str, str] = {
    name: f"troubles/{name}" for name in ("signs", "causes", "checks", "remedies", "dangers", "nevers")
}

Place = Literal["bed", "heap", "land"]
Strength = Literal["always", "often", "sometimes", "seldom", "against"]
Effort = Literal["glance", "minutes", "errand", "days"]


class Sign(Strict):
    """Something a keeper sees, smells or hears. Its id is its neutral words with _ between."""

    name: str
    words: tuple[str, ...] = Field(
        (), description="ways to say it, as patterns of advisor/language/patterns.py"
    )
    places: tuple[Place, ...]
    vague: bool = Field(False, description="often there with nothing wrong")
    danger: str | None = Field(None, description="id of the danger that it is by itself")
    alarms: tuple[str, ...] = Field((), description="alarm words of the message contract that mean it")
    tells: dict[str, str | bool] = Field(
        default_factory=dict, description="facts of the farm that it tells, which join the plan"
    )


class Backed(Strict):
    """A statement with its reason and what it rests on."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)

    why: str
    source: str | None = None
    at: str = ""
    seen: Seen = "judgement"

    @model_validator(mode="after")
    def _source_and_seen_agree(self) -> Backed:
        if (self.source is None) != (self.seen in ("judgement", "common-practice")):
            raise ValueError("give a source and how it was seen, or neither (then it is judgement)")
        return self


class Link(Backed):
    """How often a sign shows when the cause is at work."""

    strength: Strength = Field(alias="is")


class CheckLink(Backed):
    """What a check shows when the cause is at work."""

    results: dict[str, Strength] = Field(min_length=1)


class Lean(Backed):
    """Facts of the farm that make a cause more or less likely."""

    when: str
    by: Literal["much_likelier", "likelier", "less_likely", "ruled_out"]


class Cause(Strict):
    """Something that is wrong, or only looks wrong."""

    name: str
    words: tuple[str, ...] = ()
    about: str = Field(description="what is going on, in plain words")
    places: tuple[Place, ...]
    met: Literal["common", "now_and_then", "rare"]
    leans: tuple[Lean, ...] = ()
    signs: dict[str, Link] = Field(default_factory=dict)
    checks: dict[str, CheckLink] = Field(default_factory=dict)
    remedies: tuple[str, ...] = Field(min_length=1, description="first things first")
    call: str = Field("", description="who decides: veterinarian, plumber, engineer, ...")
    cautions: tuple[str, ...] = ()


class CheckResult(Strict):
    """One thing a check may show."""

    name: str
    words: tuple[str, ...] = ()
    usual: Strength = Field("sometimes", description="how often it is met whatever is wrong")
    tells: dict[str, str | bool] = Field(
        default_factory=dict, description="facts of the farm that it tells, which join the plan"
    )


class Check(Strict):
    """Something a keeper can look at, feel or measure."""

    ask: str
    how: str = ""
    effort: Effort
    results: dict[str, CheckResult] = Field(min_length=2)
    fact: str = Field("", description="fact of the farm that answers it; its value is the result")
    from_facts: dict[str, str] = Field(
        default_factory=dict, description="result: condition over facts of the farm that settles it"
    )
    place: Place | None = None
    caution: str = ""


class Remedy(Strict):
    """What to do, in order. `size` names the sum that says how much."""

    name: str
    today: tuple[str, ...] = Field(description="what to do today")
    after: tuple[str, ...] = Field((), description="from now on")
    size: str = ""
    worse: str = Field("", description="when it does not help: what then")
    nevers: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    seen: Seen = "judgement"


class Danger(Strict):
    """An emergency, or a state that comes before every other question."""

    name: str
    signs: tuple[str, ...] = Field((), description="any one of these signs raises it")
    when: str = Field("false", description="or this condition over facts, readings and check results")
    stops: bool = Field(description="true: nothing else is asked or advised until it is over")
    now: tuple[str, ...]
    call: Literal["emergency", "fire_service", "veterinarian", "nobody"]
    rank: int = Field(ge=1, le=9)
    bars: tuple[str, ...] = Field((), description="checks that are not asked for while it lasts")
    nevers: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    seen: Seen


class Never(Strict):
    """What must never be done, and why."""

    do_not: str
    because: str
    sources: tuple[str, ...] = ()
    seen: Seen
