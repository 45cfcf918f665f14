"""Which bars of the shelf fit this vehicle, as the stock of the rear bar to be sized."""

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from rollsim.bar import BarShape, ShelfBar, Steel, Stock, link_spacing
from rollsim.scenario.bar_tables import RearBarTable
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.shelf import ShelfRow, listed, read_shelf, shelf_name
from rollsim.scenario.table import Beside

_KEY = "rear_bar.shelf"
_REPLACED = ("material", "sections", "stock")

Misfit = Callable[[BarShape, ShelfRow], str]
"""Why a shape cannot go on this vehicle with the links of its row; empty where it can."""


@dataclass(frozen=True, slots=True)
class Shelved:
    """What the shelf has for this vehicle: shapes and stocks that its bars are made of."""

    shapes: tuple[BarShape, ...]
    stocks: tuple[Stock, ...]
    bars: tuple[ShelfBar, ...]


@dataclass(frozen=True, slots=True)
class Fitting:
    """A row with those of its holes that fit, by their numbers, and how many it has in all."""

    row: ShelfRow
    numbers: tuple[int, ...]
    shapes: tuple[BarShape, ...]
    drilled: int


def check_alone(ledger: Ledger, table: RearBarTable) -> None:
    """Nothing that the shelf stands instead of is beside it."""
    for word in _REPLACED:
        if getattr(table, word) is not None:
            ledger.problems.add(f"rear_bar.{word}", "shelf replaces it; remove one of them")


def shelved(
    ledger: Ledger, shelf: str, folder: Beside, *, own: Sequence[BarShape], misfit: Misfit
) -> Shelved | None:
    """The bars of the shelf that fit; None where too much was refused, or none fits.

    `own` are the shapes of [rear_bar], which a row without one of its own has.
    """
    held, name = read_shelf(folder, shelf), shelf_name(shelf)
    rows = held.bars
    for words in held.wrong:
        ledger.problems.add(_KEY, words)
    if not rows and not held.wrong:
        ledger.problems.add(_KEY, f"{name} holds no bar; allowed 1 or more; add the bars")
    shapeless = [row.part for row in rows if row.shapes is None]
    if shapeless and not own:
        ledger.problems.add(
            _KEY,
            f"{name}: {listed(shapeless)} without centre_length and arm_holes, and [rear_bar] has "
            "none either; add the two columns, or the shape to [rear_bar]",
        )
    if ledger.problems.has(_KEY):
        return None
    fitting: list[Fitting] = []
    out: list[str] = []
    holes_out: list[str] = []
    for row in rows:
        shapes = row.shapes or tuple(own)
        why = [misfit(shape, row) for shape in shapes]
        fits = {n: shape for n, shape in enumerate(shapes, 1) if not why[n - 1]}
        if not fits:
            out.append(f"{row.part} ({why[0]})")
            continue
        fitting.append(Fitting(row, tuple(fits), tuple(fits.values()), len(shapes)))
        holes_out += [
            f"{row.part} hole {n} of {len(shapes)} ({words})"
            for n, words in enumerate(why, 1)
            if words
        ]
    if not fitting:
        ledger.problems.add(
            _KEY, f"{name}: no bar fits this vehicle: {listed(out)}; add one that does"
        )
        return None
    if out:
        words = "bars does" if len(out) == 1 else "bars do"
        ledger.notes.append(
            f"shelf: {len(out)} of {len(rows)} {words} not fit this vehicle: {listed(out)}"
        )
    if holes_out:
        words = "hole does" if len(holes_out) == 1 else "holes do"
        ledger.notes.append(
            f"shelf: {len(holes_out)} {words} not fit this vehicle: {listed(holes_out)}"
        )
    return _made_of(fitting)


def _made_of(fitting: Sequence[Fitting]) -> Shelved:
    every = itertools.chain.from_iterable(one.shapes for one in fitting)
    places = {shape: n for n, shape in enumerate(dict.fromkeys(every))}
    sections: dict[Steel, dict] = {}
    for one in fitting:
        sections.setdefault(one.row.steel, {})[one.row.section] = None
    return Shelved(
        shapes=tuple(places),
        stocks=tuple(Stock(steel, tuple(own)) for steel, own in sections.items()),
        bars=tuple(
            ShelfBar(
                part=row.part,
                section=row.section,
                steel=row.steel,
                holes=tuple(places[shape] for shape in one.shapes),
                numbers=one.numbers,
                drilled=one.drilled,
                link_rate=row.link_rate,
                link_length=row.link_length,
                mass=row.mass,
                price=row.price,
                currency=row.currency,
                weeks=row.weeks,
            )
            for one in fitting
            for row in (one.row,)
        ),
    )


def too_wide(shape: BarShape, track: float) -> str:
    """That the link ends stand further apart than the wheels [m]; empty where they do not."""
    spacing = link_spacing(shape)
    if spacing < track:
        return ""
    return f"link ends {spacing * 1e3:.4g} mm apart, track {track * 1e3:.4g} mm"
