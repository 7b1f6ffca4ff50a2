"""What the knowledge base holds, one model a topic. The folder of a YAML file says which model it is.

Every entry is written `id: {...}` in any file of its folder; ids are lower_case_words and stay for good.
Prose (what a keeper reads) holds no digits of its own: it points at figures as `{figure_id}`.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from advisor.knowledge.figure import Figure, In, Seen, Share, Strict
from advisor.knowledge.models_asked import Asked
from advisor.knowledge.models_troubles import Cause, Check, Danger, Never, Remedy, Sign

__all__ = [
    "TOPICS",
    "AnimalClass",
    "Caution",
    "Fact",
    "GlobalFigure",
    "Limit",
    "LocalRule",
    "Material",
    "Pack",
    "Question",
    "Region",
    "Rule",
    "RuleCase",
    "Source",
    "SpaceLimit",
    "Species",
    "Strict",
    "Term",
]

Species = Literal["cattle", "sheep", "goats", "pigs", "horses", "poultry", "camelids", "rabbits", "deer"]

PerDay = Annotated[Figure, In("kg/day")]
Density = Annotated[Figure, In("kg/m3")]
Mass = Annotated[Figure, In("kg")]
Volume = Annotated[Figure, In("m3")]
MonthDay = Annotated[str, Field(pattern=r"^(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$")]


class Fact(Strict):
    """A word that rules and explanations may read."""

    label: str
    kind: Literal["number", "text", "flag", "list", "date"]
    unit: str = ""
    per: Literal["farm", "pen", "group", "material"]
    derived: bool = False
    choices: tuple[str, ...] = ()
    assume: str | float | bool | None = Field(
        None,
        description="what is taken where it is not told: a figure id, a property (class_weight), or a value",
    )


class Source(Strict):
    """A publication. A title in [square brackets] is its subject, where the exact title was not seen."""

    by: str
    title: str
    year: str = ""
    kind: str = ""
    address: str = ""
    note: str = ""


class Pack(Strict):
    """How a material is handled: a bale, a bag, a trailer load."""

    name: str
    words: tuple[str, ...] = ()
    mass: Mass | None = None
    volume: Volume | None = None


class Material(Strict):
    """Bedding, manure, amendment, grain or feed. Carbon and nitrogen are stored, C:N follows from them."""

    name: str
    words: tuple[str, ...] = ()
    kind: Literal["bedding", "manure", "amendment", "grain", "feed", "compost", "warning"]
    family: str = Field(description="straw, wood, paper, hay, leaves, husks, peat, mineral, manure, ...")
    generic: bool = Field(False, description="a general word (straw) that narrower ones (wheat straw) refine")
    narrower_of: str | None = Field(None, description="id of the generic material this one refines")
    about: str = ""
    moisture: Share = Field(description="water as share of the whole, as delivered")
    ash: Share = Field(description="share of dry matter")
    carbon: Share = Field(description="share of dry matter")
    nitrogen: Share = Field(description="share of dry matter")
    phosphorus: Share | None = Field(None, description="P as share of dry matter")
    potassium: Share | None = Field(None, description="K as share of dry matter")
    published_c_to_n: Figure | None = Field(
        None, description="the ratio as published, shown beside the derived one"
    )
    density_loose: Density | None = None
    density_laid: Density | None = Field(
        None, description="spread on a floor, before treading; only where it is not that of loose bedding"
    )
    density_trodden: Density | None = Field(None, description="spread and trodden on a floor")
    density_baled: Density | None = None
    absorbency: Annotated[Figure, In("kg/kg")] | None = Field(
        None, description="kg water per kg of the air-dry material"
    )
    quick_carbon: Share | None = Field(None, description="share of carbon that microbes reach within a year")
    locks_nitrogen: bool = Field(False, description="locks up ammonia nitrogen as straw does")
    ph: Figure | None = None
    packs: dict[str, Pack] = Field(default_factory=dict, description="bales, bags and loads it comes in")
    lies_well: tuple[Species, ...] = Field((), description="species that may lie on it")
    never_for: tuple[Species, ...] = Field((), description="species that must not lie on it or eat it")
    cautions: tuple[str, ...] = ()


class AnimalClass(Strict):
    """A class of animal: what it weighs, leaves on the bed, needs to lie on, and does to a pack.

    Daily amounts are per head at the reference `weight` and scale with live weight within the class.
    """

    name: str
    plural: str
    words: tuple[str, ...] = Field((), description="other names and breeds' trade words, singular and plural")
    breeds: tuple[str, ...] = Field((), description="breed names that, standing alone, mean this class")
    species: Species
    generic: bool = Field(False, description="a general word (sheep) that narrower ones (ewe) refine")
    narrower_of: str | None = None
    about: str = ""
    weight: Annotated[Figure, In("kg/head")]
    excreta: PerDay = Field(description="fresh faeces and urine together, per head and day")
    dry_matter: PerDay
    volatile_solids: PerDay
    urine: PerDay | None = Field(None, description="part of excreta; birds have none apart")
    nitrogen: PerDay
    urine_nitrogen: Share = Field(description="ammoniacal or quickly ammoniacal share of excreted N (TAN)")
    phosphorus: PerDay
    potassium: PerDay
    litter_space: Annotated[Figure, In("m2/head")] = Field(
        description="bedded area a head at reference weight that a deep bed of this kind needs to stay dry"
    )
    bedding_rate: PerDay = Field(description="least straw or like a head and day by practice, static pack")
    feed_place: Annotated[Figure, In("m/head")] | None = None
    water_rate: Annotated[Figure, In("m3/day")] | None = Field(
        None, description="drinking water a head and day"
    )
    heat: Annotated[Figure, In("W/head")] | None = Field(
        None, description="total heat at the reference weight"
    )
    young: bool = Field(False, description="young or with young: first in line for dry bedding")
    roots: bool = Field(False, description="digs a pack over when grain is in it")
    scratches: bool = Field(False, description="scratches the loose top of a pack")
    pack_effect: str = Field("", description="what this class does to a pack, in plain words")
    may_follow: tuple[Species, ...] = ()
    never_with: tuple[Species, ...] = Field(
        (), description="species that must not share or follow on its pack"
    )
    cautions: tuple[str, ...] = ()


class When(Strict):
    """One variant of a figure, for the facts named; the first variant whose facts all agree is used."""

    species: tuple[Species, ...] = ()
    management: tuple[Literal["static", "stirred", "hens"], ...] = ()
    family: tuple[str, ...] = Field((), description="family of the material")
    climate: tuple[str, ...] = ()
    figure: Figure


class GlobalFigure(Strict):
    """A figure of the science or the trade that is not a property of one material or class."""

    label: str
    si: str = Field(description="the unit it is held in inside, and what formulas receive")
    figure: Figure | None = None
    cases: tuple[When, ...] = ()


class Limit(Strict):
    """A legal or advisory limit."""

    what: str
    figure: Figure
    law: bool = Field(description="true: law or regulation; false: advice")


class SpaceLimit(Strict):
    """Least floor area a head for a species or class, in a weight band."""

    species: Species
    classes: tuple[str, ...] = Field((), description="class ids; empty: every class of the species")
    weight_from_kg: float = 0.0
    weight_to_kg: float | None = None
    figure: Annotated[Figure, In("m2/head")]
    per_weight: Annotated[Figure, In("m2/kg")] | None = Field(
        None, description="at least this area per kg live weight too"
    )
    law: bool


class LocalRule(Strict):
    """A rule in words, for one matter of a region."""

    matter: Literal[
        "space", "n_per_ha", "p_per_ha", "storage", "field_heap", "spreading", "raw_manure", "compost_process",
        "ammonia", "pigs_on_manure", "kitchen_waste", "registration", "carcass",
    ]  # fmt: skip
    text: str
    figures: dict[str, Figure] = Field(default_factory=dict)
    closed: tuple[MonthDay, MonthDay] | None = Field(
        None, description="first and last day of a year's time in which nothing may be spread, as MM-DD"
    )
    closed_where: str = Field("", description="the land that the closed time holds for, in words")
    law: bool
    source: str | None = None
    at: str = ""
    seen: Seen


class Region(Strict):
    """The rule set of a jurisdiction. A matter with no rule is a question for the authority."""

    name: str
    words: tuple[str, ...] = ()
    inherits: str | None = Field(None, description="region whose rules hold where this one is silent")
    emergency: str = Field(description="number to call, as dialled")
    emergency_seen: Seen = "memory"
    authority: str = Field(description="who to ask for what is not held here")
    units: Literal["metric", "us"] = "metric"
    space: tuple[SpaceLimit, ...] = ()
    limits: dict[str, Limit] = Field(
        default_factory=dict, description="n_per_ha, p_per_ha, ammonia_ppm, raw_manure_days, ... by id"
    )
    rules: tuple[LocalRule, ...] = ()
    ask: tuple[str, ...] = Field((), description="matters that only the authority can answer")


class Caution(Strict):
    """A danger and what to do about it, in the adviser's own words."""

    title: str
    at_risk: tuple[Literal["people", "animals", "environment"], ...]
    severity: Literal["fatal", "serious", "nuisance"]
    danger: str
    do: tuple[str, ...]
    when: str = Field(
        "false", description="condition over facts; shown when true, and if fatal also while not known"
    )
    figures: dict[str, Figure] = Field(default_factory=dict)
    call: str = Field("", description="who decides: veterinarian, engineer, authority, fire service")
    sources: tuple[str, ...] = ()
    seen: Seen


class RuleCase(Strict):
    """Facts under which a rule must fire, and a neighbour in which it must not."""

    fires: dict[str, bool | float | str | tuple[str, ...] | None]
    not_fires: dict[str, bool | float | str | tuple[str, ...] | None]


class Rule(Strict):
    """A recommendation given when its condition holds."""

    when: str
    topic: Literal[
        "space", "bed", "supply", "height", "air", "turning", "compost", "land", "animals", "money"
    ]
    advise: str
    because: str
    rank: int = Field(
        description="1 people's safety, 2 animals' safety and dry lying, 3 law, 4 supply, 5 carbon",
        ge=1,
        le=5,
    )
    cautions: tuple[str, ...] = ()
    overrides: tuple[str, ...] = ()
    opposes: tuple[str, ...] = Field((), description="rules that advise the opposite: never both at once")
    sources: tuple[str, ...] = ()
    seen: Seen
    case: RuleCase


class Question(Strict):
    """A question of the interview and the facts its answer fills.

    In `text` and `why`, {name} stands for the group's or material's plain name where `each` is set.
    `paths` and `gives` name places of the farm as in a farm file: `pens.pen.area`,
    `groups.{id}.weight` (the group asked about), `groups.*.feed.kind` (every group).
    """

    text: str
    why: str
    how_to_find: str = ""
    neutral: tuple[str, ...] = Field(
        description="neutral words for it, the last as the language knows them; CLASS, MATERIAL: a name"
    )
    kind: Literal[
        "animals", "materials", "quantity", "count", "date", "span", "choice", "yes_no", "text", "area"
    ]
    fills: tuple[str, ...] = Field(description="fact names")
    paths: tuple[str, ...] = Field((), description="places of the farm that the answer is put in")
    unit: str = ""
    least: float | None = None
    most: float | None = None
    usual: str = Field("", description="a choice, or a figure id, taken when the answer is not known")
    usual_says: str = Field("", description="what is taken where no single fact says it")
    choices: dict[str, tuple[str, ...]] = Field(
        default_factory=dict, description="choice id: its name, then other words for it"
    )
    gives: dict[str, dict[str, str | float | bool]] = Field(
        default_factory=dict, description="choice id (or yes, no): place of the farm: value, where not plain"
    )
    many: bool = Field(False, description="several choices may be named at once")
    classes: tuple[str, ...] = Field((), description="asked only where one of these animal classes is kept")
    when: str = Field("true", description="asked only if this condition holds or may hold")
    early: float | None = Field(
        None, description="place among the questions asked first, whatever they narrow"
    )
    needed: bool = Field(False, description="without an answer there can be no plan")
    each: Literal["group", "pen", "material"] | None = None


class Term(Strict):
    """A word of the trade, explained."""

    name: str
    words: tuple[str, ...] = ()
    means: str
    sources: tuple[str, ...] = ()


#: folder -> model of its entries
TOPICS: dict[str, type[Strict]] = {
    "facts": Fact,
    "sources": Source,
    "materials": Material,
    "animals": AnimalClass,
    "figures": GlobalFigure,
    "regions": Region,
    "cautions": Caution,
    "rules": Rule,
    "questions": Question,
    "glossary": Term,
    "asked": Asked,
    "signs": Sign,
    "causes": Cause,
    "checks": Check,
    "remedies": Remedy,
    "dangers": Danger,
    "nevers": Never,
}
