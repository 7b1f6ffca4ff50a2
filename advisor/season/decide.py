"""How much bedding: a linear program in the strict order dry, clean, supply, carbon.

Everything here is a plain number at its typical value; the simulation then shows the range, and its
losses are fed back until the amounts stand still.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from advisor.season.linear import LinearProgram

__all__ = ["Decision", "Option", "PenNeed", "PeriodNeed", "decide"]


@dataclass(frozen=True)
class PeriodNeed:
    """What a pen needs in one period. All amounts kg a day."""

    first_day: int
    days: int
    to_soak_up: float  # urine and rain, less the evaporation counted on
    water: float  # all water reaching the top, less evaporation
    dry: float  # dry matter of excreta and wasted feed
    least: float  # bedding by published or common practice
    most: float  # no more than this is advised


@dataclass(frozen=True)
class PenNeed:
    """A pen's periods, the base laid before, and what animals and base leave at the end."""

    pen: str
    periods: tuple[PeriodNeed, ...]
    base_kg: dict[str, float]
    end_carbon: float
    end_nitrogen: float
    moisture_limit: float
    goal_c_to_n: float
    urgency: float = 1.0


@dataclass(frozen=True)
class Option:
    """A material that can be used: on hand, for sale or both."""

    key: str
    dry_share: float
    soaks_up: float  # kg water per kg, beyond its own
    carbon_kept: dict[str, tuple[float, ...]]  # by pen: kg C left at the end per kg added, for each period
    nitrogen: float  # kg N per kg
    on_hand_kg: float
    can_buy_kg: float
    price_kg: float
    first_day: int = 0


@dataclass
class Decision:
    """Daily rates by pen, material and period, what to buy, and what could not be met."""

    rates: dict[str, dict[str, list[float]]]
    base_kg: dict[str, dict[str, float]]
    buy_kg: dict[str, float]
    short: dict[str, float] = field(
        default_factory=dict
    )  # goal -> how much is lacking, in the goal's own measure
    carbon_bought_kg: float = 0.0  # what it would take to buy the goal ratio
    mend_kg: float = 0.0  # what it would take to buy a dry and clean bed, where that is lacking
    given: bool = False

    @property
    def missed(self) -> str:
        """The first goal of the strict order that could not be met; 'none' if all were."""
        order = ("dry", "clean", "supply", "carbon")
        return next((goal for goal in order if self.short.get(goal, 0.0) > 0.0), "none")


_SMALL = 1e-4
_CRUMB = 1e-4  # of the winter's least bedding: what nobody would fetch


def decide(
    pens: list[PenNeed], options: list[Option], *, buy_for_carbon: bool = False, reserve: float = 0.0
) -> Decision:
    """The amounts of each material for each pen and period.

    The base counts first against what can be had; what it lacks is short of supply. Then as little
    wetness as can be, then as little short of the practised rate, then the cheapest purchase, then as
    little as can be from the reserve (a share of what is on hand), then the carbon goal from what is on
    hand only, then least bedding, evenly spread.
    With `buy_for_carbon` the carbon goal may be bought: to show what a point of C:N costs.
    """
    program = LinearProgram()
    amount: dict[tuple[str, str, int], int] = {}
    wet: dict[int, float] = {}
    dirty: dict[int, float] = {}
    lean: dict[int, float] = {}
    uneven: dict[int, float] = {}
    weight: dict[int, float] = {}
    kept_back: dict[int, float] = {}
    buys = {o.key: program.variable(max(0.0, o.can_buy_kg)) for o in options}
    used: dict[str, dict[int, float]] = {o.key: {} for o in options}
    for pen in pens:
        for number, period in enumerate(pen.periods):
            row_soak: dict[int, float] = {}
            row_moist: dict[int, float] = {}
            row_sum: dict[int, float] = {}
            for o in options:
                last = period.first_day + period.days
                x = program.variable(0.0 if o.first_day >= last else 1e12)
                amount[pen.pen, o.key, number] = x
                ratio = pen.moisture_limit / (1.0 - pen.moisture_limit)
                row_soak[x] = o.soaks_up
                row_moist[x] = ratio * o.dry_share - (1.0 - o.dry_share)
                row_sum[x] = 1.0
                used[o.key][x] = float(period.days)
                weight[x] = float(period.days)
            ratio = pen.moisture_limit / (1.0 - pen.moisture_limit)
            slack_soak, slack_moist, slack_least = (program.variable() for _ in range(3))
            program.row({**row_soak, slack_soak: 1.0}, low=period.to_soak_up)
            program.row({**row_moist, slack_moist: 1.0}, low=period.water - ratio * period.dry)
            program.row({**row_sum, slack_least: 1.0}, low=period.least)
            program.row(row_sum, high=max(period.most, period.least))
            for slack in (slack_soak, slack_moist):
                wet[slack] = pen.urgency * period.days
            dirty[slack_least] = pen.urgency * period.days
        _spread_evenly(program, pen, options, amount, uneven)
        lean_slack = program.variable()
        terms: dict[int, float] = {lean_slack: 1.0}
        for o in options:
            for number, period in enumerate(pen.periods):
                kept = o.carbon_kept[pen.pen][number]
                terms[amount[pen.pen, o.key, number]] = period.days * (kept - pen.goal_c_to_n * o.nitrogen)
        program.row(terms, low=pen.goal_c_to_n * pen.end_nitrogen - pen.end_carbon)
        lean[lean_slack] = 1.0
    lacking_base = 0.0
    for o in options:
        beyond_base = o.on_hand_kg - sum(pen.base_kg.get(o.key, 0.0) for pen in pens)
        lacking_base += max(0.0, -beyond_base - o.can_buy_kg)
        program.row({**used[o.key], buys[o.key]: -1.0}, high=max(beyond_base, -o.can_buy_kg))
        if reserve > 0.0 and beyond_base > 0.0:
            dip = program.variable()
            program.row(
                {**used[o.key], buys[o.key]: -1.0, dip: -1.0},
                high=max(0.0, beyond_base - reserve * o.on_hand_kg),
            )
            kept_back[dip] = 1.0
    price = {buys[o.key]: max(o.price_kg, 1e-3) for o in options}
    order = [wet, dirty, lean, price] if buy_for_carbon else [wet, dirty, price, kept_back, lean]
    order = [goal for goal in order if goal]
    solved, reached = program.solve([*order, weight, uneven])
    lean_at = order.index(lean)
    lacking = {"dry": reached[0], "clean": reached[1], "supply": lacking_base, "carbon": reached[lean_at]}
    scale = max(1.0, sum(p.least * p.days for pen in pens for p in pen.periods))
    return Decision(
        rates={
            pen.pen: {
                o.key: [_clean(solved[amount[pen.pen, o.key, n]]) for n in range(len(pen.periods))]
                for o in options
            }
            for pen in pens
        },
        base_kg={pen.pen: dict(pen.base_kg) for pen in pens},
        buy_kg={o.key: _clean(solved[buys[o.key]], _CRUMB * scale) for o in options},
        short={goal: value if value > _SMALL * scale else 0.0 for goal, value in lacking.items()},
    )


def _spread_evenly(
    program: LinearProgram,
    pen: PenNeed,
    options: list[Option],
    amount: dict[tuple[str, str, int], int],
    uneven: dict[int, float],
) -> None:
    """Prefer, among equals, the same mix all winter over one material first and another later."""
    for o in options:
        for n in range(len(pen.periods) - 1):
            here, there = amount[pen.pen, o.key, n], amount[pen.pen, o.key, n + 1]
            step = program.variable()
            program.row({here: 1.0, there: -1.0, step: -1.0}, high=0.0)
            program.row({there: 1.0, here: -1.0, step: -1.0}, high=0.0)
            uneven[step] = 1.0


def _clean(value: float, least: float = 1e-3) -> float:
    """The value, or nothing where it is the solver's own grain."""
    return 0.0 if value < max(least, 1e-3) else value
