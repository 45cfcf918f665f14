"""What the page says of the bars: which there are, what the selected one does and costs."""

from collections.abc import Sequence
from dataclasses import replace

import pandas as pd

from rollsim.bar import ShelfBar, StressAlong, stress_along
from rollsim.cost_wording import worse_words
from rollsim.page.answers import Answer
from rollsim.reader_units import NO_FIGURE, ReaderUnits, figure, with_unit
from rollsim.sizing import Candidate, Sizing
from rollsim.tell.names import clean, safe
from rollsim.tell.of_bars import BAR, PART
from rollsim.wording import bar_words, reasons, section_words

RANK, SECTION, WHY_NOT = "rank", "section", "why not"
DECIDING = tuple(
    BAR[name]
    for name in (
        *("lever", "roll_gradient", "safety_factor", "front_load_transfer_share"),
        *("inner_rear_lift", "articulation_lost", "one_wheel_rate_increase", "peak_stress", "mass"),
    )
)
"""Figures of the ranked table, in its order."""
STRESS_IS = (
    "Under the load that the safety factor counts: cornering at 0.8 g or at the tipping point, or "
    "full axle twist, whichever is more. Both halves alike. Holds for unwelded ends in this heat "
    "treatment; welds, arm holes and flattened bends are weaker."
)


def default_rank(sizing: Sizing) -> int:
    """Place of the bar to show first, from 0; there must be a candidate.

    The choice; else the best that passes strength and balance; else the first that leans less than
    now.
    """
    if sizing.choice is not None:
        return 0
    if sizing.best is not None:
        return sizing.candidates.index(sizing.best)
    less = (n for n, c in enumerate(sizing.candidates) if c.roll_gradient < sizing.present)
    return next(less, 0)


def rank_in(name: str, count: int, default: int) -> int:
    """The place [-] that a bar's name begins with, where the rest of it no longer fits."""
    rank = name.partition(":")[0]
    return int(rank) - 1 if rank.isdigit() and 0 < int(rank) <= count else default


def bar_names(sizing: Sizing, units: ReaderUnits) -> tuple[str, ...]:
    """Every bar in the order of its rank, with section and hole, the rejected ones marked."""
    return tuple(
        f"{rank}: {_section(c, units)}, {figure(c.lever, units.length)} {units.length} hole"
        f"{'' if c.accepted or sizing.nothing_to_bring_back else ' (not accepted)'}"
        for rank, c in enumerate(sizing.candidates, 1)
    )


def _section(c: Candidate, units: ReaderUnits) -> str:
    return section_words(c.section, units)


def as_if_chosen(found: Answer) -> Sizing:
    """The sizing as if the selected bar were its choice, for what stands with that bar."""
    return replace(found.sizing, choice=found.bar, states=found.after)


def verdict(found: Answer) -> str:
    """What the selected bar is, and whether it is accepted."""
    sizing, bar, units = found.sizing, found.bar, found.units
    stiff = (
        f"{with_unit(bar.roll_stiffness, units.roll_stiffness)}, "
        f"{with_unit(bar.link_end_rate, units.rate)} at the link, stress "
        f"{with_unit(bar.peak_stress, units.stress)}"
    )
    if bar == sizing.choice:  # the answer above has told the rest of it
        return f"The choice: {stiff}."
    what = (
        f"{bar_words(bar, units)}: {figure(bar.roll_gradient, 'deg/g')} deg/g for the target of "
        f"{figure(sizing.target, 'deg/g')} deg/g, {stiff}, safety factor "
        f"{figure(bar.safety_factor, '')}."
    )
    if bar.accepted:
        return f"Accepted, but not the choice. {what}"
    if sizing.nothing_to_bring_back and sizing.new_front is not None:
        return f"Not ordered: the new front bar does it without. {what}"
    if sizing.nothing_to_bring_back:
        return f"Nothing to bring back. {what}"
    return f"NOT ACCEPTED: {'; '.join(reasons(bar))}. {what}"


def costs(found: Answer) -> tuple[str, ...]:
    """What gets worse with the selected bar, as the command words it."""
    return worse_words(as_if_chosen(found), found.before, found.units)


def ranked_table(found: Answer, *, rejected: bool) -> pd.DataFrame:
    """The bars in the order of their rank, with the figures that decide between them.

    Numbers, so that it sorts by size, units in the headings; the rejected ones come with why.
    """
    sizing, units = found.sizing, found.units
    several = len({c.steel.name for c in sizing.candidates}) > 1
    parts = (c.part for c in sizing.candidates if c.part is not None)
    currencies = sorted({part.currency for part in parts} - {""})
    rows = [
        {
            RANK: rank,
            SECTION: _section(c, units),
            **({} if c.part is None else _on_the_shelf(c.part, currencies)),
            **({"steel": safe(c.steel.name)} if several else {}),
            **{one.label(units, iso=False): _number(one.cell(c, units)) for one in DECIDING},
            **({WHY_NOT: _why_not(c)} if rejected and not sizing.nothing_to_bring_back else {}),
        }
        for rank, c in enumerate(sizing.candidates, 1)
        if rejected or c.accepted
    ]
    return pd.DataFrame(rows)


def _on_the_shelf(part: ShelfBar, currencies: Sequence[str]) -> dict[str, object]:
    """Number, price and weeks; a column a currency, so that prices sort within it alone."""
    return {
        "part": safe(part.part),
        **{
            f"{PART['price'].words}, {one}": part.price if part.currency == one else None
            for one in currencies
        },
        PART["weeks"].words: part.weeks,
    }


def decimals(found: Answer) -> dict[str, int]:
    """How many decimals each figure of the ranked table has, by its heading."""
    units = found.units
    return {
        one.label(units, iso=False): len(one.kind.said(1.0, units).partition(".")[2])
        for one in DECIDING
    }


def _number(text: str) -> float | None:
    """As it is shown, so that what looks alike sorts alike."""
    return None if text == NO_FIGURE else float(text)


def _why_not(c: Candidate) -> str:
    return clean("; ".join(reasons(c)))


def stress_table(found: Answer) -> pd.DataFrame:
    """Stress at the marked places of the selected bar, under the governing load."""
    units, along = found.units, stress_of(found)
    rows = [
        {
            "place": place,
            f"from the middle, {units.length}": figure(along.stations.distance[n], units.length),
            f"stress (von Mises), {units.stress}": figure(along.von_mises[n], units.stress),
            "of the allowable": f"{along.von_mises[n] / found.bar.allowable_stress:.0%}",
        }
        for place, n in _places(found, along)
    ]
    return pd.DataFrame(rows)


def stress_of(found: Answer) -> StressAlong:
    """Stress along half of the selected bar, its peak the one that the safety factor counts [Pa].

    It is proportional to the end force, so one unit force tells the course.
    """
    rear_bar, bar = found.scenario.rear_bar, found.bar
    unit = stress_along(
        rear_bar.shapes[bar.hole],
        rear_bar.bush_spacing,
        bar.section,
        link_end_force=1.0,
        installation=rear_bar.installation,
    )
    force = bar.peak_stress / float(unit.von_mises.max())
    return StressAlong(
        unit.stations, unit.bending * force, unit.torsion * force, unit.von_mises * force
    )


def _places(found: Answer, along: StressAlong) -> list[tuple[str, int]]:
    """Middle, bush, peak, link end, in their order along the bar."""
    out, stresses = along.stations.position[:, 1], along.von_mises
    bush = min(
        range(len(out)), key=lambda n: abs(out[n] - found.scenario.rear_bar.bush_spacing / 2)
    )
    return sorted(
        [
            ("middle", 0),
            ("bush", bush),
            ("highest", int(stresses.argmax())),
            ("link end", len(out) - 1),
        ],
        key=lambda place: place[1],
    )
