"""The rear bar to be sized, from the file's [rear_bar]."""

import math
from dataclasses import replace

from rollsim.bar import (
    BUSH_RATES,
    LINK_RATES,
    BarShape,
    Installation,
    RearBar,
    Section,
    ShelfBar,
    Steel,
    Stock,
    link_angles,
    parse_section,
    stock_from_list,
    unit_load_integrals,
)
from rollsim.scenario.bar_shape import (
    bar_shapes,
    check_bushes,
    check_installation_ratio,
    coupling_rate,
    finite,
    read_steel,
)
from rollsim.scenario.bar_tables import RearBarTable, StockTable
from rollsim.scenario.bounds import MOST_BARS
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.shelf import ShelfRow
from rollsim.scenario.shelf_bars import Misfit, check_alone, shelved, too_wide
from rollsim.scenario.table import Beside
from rollsim.vehicle import Axle, Change

_KEY = "rear_bar"


def build_rear_bar(
    ledger: Ledger,
    table: RearBarTable,
    rear: Axle | None,
    *,
    change: Change,
    folder: Beside = None,
) -> RearBar | None:
    """Build the bar to be sized; None where too much was refused.

    A lift shifts the travel that the link angles are checked over. `folder` has the shop's shelf.
    """
    suspension = None if rear is None else rear.suspension
    check_installation_ratio(ledger, _KEY, table, suspension)
    ratio = ledger.take(f"{_KEY}.installation_ratio", table.installation_ratio, 1.0)
    bush_spacing = ledger.take(f"{_KEY}.bush_spacing", table.bush_spacing)
    bush_rate = coupling_rate(ledger, f"{_KEY}.bush_rate", table.bush_rate, known=BUSH_RATES)
    link_rate = coupling_rate(ledger, f"{_KEY}.link_rate", table.link_rate, known=LINK_RATES)
    installation = _installation(ledger, table)
    splay = finite(ledger.take(f"{_KEY}.arm_splay", table.arm_splay))
    travel = (0.0, 0.0) if rear is None else link_travel(rear, change, ratio)
    if table.shelf is None:
        shapes = bar_shapes(ledger, _KEY, table, splay=splay)
        check_bushes(ledger, _KEY, shapes, bush_spacing, arm_angle=installation.arm_angle)
        for shape in shapes:
            _check_links(ledger, shape, installation, travel)
        stocks, bars = _stocks(ledger, table), ()
    else:
        check_alone(ledger, table)
        own = bar_shapes(ledger, _KEY, table, splay=splay) if _has_a_shape(table) else ()
        misfit = _misfit(bush_spacing, installation, rear=rear, travel=travel)
        shelf = shelved(ledger, table.shelf, folder, own=own, misfit=misfit)
        shapes, stocks, bars = ((), (), ())
        if shelf is not None:
            shapes, stocks, bars = shelf.shapes, shelf.stocks, shelf.bars
    _check_how_many(ledger, shapes, stocks, bars)
    if ledger.problems.found:
        return None
    try:
        return RearBar(
            mount=table.mount,
            installation_ratio=ratio,
            bush_spacing=bush_spacing,
            shapes=shapes,
            bush_rate=bush_rate,
            link_rate=link_rate,
            installation=installation,
            stocks=stocks,
            disconnected_off_road=table.links_disconnected_off_road,
            shelf=bars,
        )
    except ValueError as error:
        ledger.problems.add(_KEY, str(error))
        return None


def _check_how_many(
    ledger: Ledger,
    shapes: tuple[BarShape, ...],
    stocks: tuple[Stock, ...],
    shelf: tuple[ShelfBar, ...],
) -> None:
    if shelf:
        holes = sum(len(bar.holes) for bar in shelf)
        if holes > MOST_BARS:
            ledger.problems.add(
                f"{_KEY}.shelf",
                f"{len(shelf)} bars have {holes} holes; allowed up to {MOST_BARS}; keep the bars "
                "that are in question",
            )
        return
    sections = sum(len(stock.sections) for stock in stocks)
    if sections * len(shapes) > MOST_BARS:
        ledger.problems.add(
            _KEY,
            f"{sections} sections in {len(shapes)} holes are {sections * len(shapes)} bars; "
            f"allowed up to {MOST_BARS}; keep the sections and holes that are at hand",
        )


def _installation(ledger: Ledger, table: RearBarTable) -> Installation:
    """How the bar is hung; level and without lash where that was refused."""
    try:
        return Installation(
            arm_angle=finite(ledger.take(f"{_KEY}.arm_angle", table.arm_angle)),
            link_inclination=finite(
                ledger.take(f"{_KEY}.link_inclination", table.link_inclination)
            ),
            link_length=finite(ledger.take_or_none(f"{_KEY}.link_length", table.link_length))
            or None,
            lash=finite(ledger.take(f"{_KEY}.lash", table.lash)),
        )
    except ValueError as error:
        ledger.problems.add(_KEY, str(error))
        return Installation()


def link_travel(rear: Axle, change: Change, ratio: float) -> tuple[float, float]:
    """Travel of a link between full bump and full droop, from the sized ride height.

    Towards bump and towards droop [m]; zero where no stop is given. `ratio` is link travel per
    wheel travel [-], 1 across a solid axle.
    """
    # What was lifted on the scales has its gaps counted from the lifted height already.
    lift = 0.0 if change.on_when_weighed else change.suspension_lift_rear
    bump = droop = 0.0
    if rear.bump_stop is not None:
        bump = finite(rear.bump_stop.gap / rear.bump_stop.motion_ratio + lift)
    limit = change.rear_rebound_limit or rear.rebound_limit
    if limit is not None:
        droop = finite(limit.gap / limit.motion_ratio - lift)
    bump, droop = (max(0.0, travel * finite(ratio)) for travel in (bump, droop))
    return bump, droop


def _check_links(
    ledger: Ledger, shape: BarShape, installation: Installation, travel: tuple[float, float]
) -> None:
    """No link goes over centre between full droop and full bump [m]."""
    # Where no stop is given the travel counts as zero: only ride height is checked.
    if words := _over_centre(shape, installation, travel):
        ledger.problems.add(
            f"{_KEY}.link_length" if installation.link_length else f"{_KEY}.arm_angle",
            f"{words}; allowed only travel short of arm and link in line; lengthen the link or "
            "the arm, or check the angles",
        )


def _over_centre(shape: BarShape, installation: Installation, travel: tuple[float, float]) -> str:
    """That a link goes over centre in its travel [m]; empty where it does not."""
    bump, droop = travel
    if (
        shape.lever > 0.0
        and link_angles(installation, shape.lever, bump_travel=bump, droop_travel=droop).over_centre
    ):
        return (
            f"the link goes over centre with the {shape.lever * 1e3:.5g} mm arm within "
            f"{bump * 1e3:.4g} mm of bump and {droop * 1e3:.4g} mm of droop at the link"
        )
    return ""


def _has_a_shape(table: RearBarTable) -> bool:
    return any(x is not None for x in (table.centre_length, table.arm_holes, table.centreline))


def _misfit(
    bush_spacing: float,
    installation: Installation,
    *,
    rear: Axle | None,
    travel: tuple[float, float],
) -> Misfit:
    """Why a bar of the shelf cannot go on this vehicle."""

    def why(shape: BarShape, row: ShelfRow) -> str:
        if math.isnan(bush_spacing):
            return ""  # refused, and told
        try:
            unit_load_integrals(shape, bush_spacing, arm_angle=installation.arm_angle)
        except ValueError as error:
            return str(error)
        links = installation
        if row.link_length is not None:
            links = replace(installation, link_length=row.link_length)
        wide = "" if rear is None else too_wide(shape, rear.track)
        return wide or _over_centre(shape, links, travel)

    return why


def _stocks(ledger: Ledger, table: RearBarTable) -> tuple[Stock, ...]:
    """Every steel with its sections."""
    single = [word for word in ("material", "sections") if getattr(table, word) is not None]
    if table.stock is not None:
        for word in single:
            ledger.problems.add(
                f"{_KEY}.{word}", "[[rear_bar.stock]] replaces it; remove one of them"
            )
        if not table.stock:
            ledger.problems.add(f"{_KEY}.stock", "found an empty list; add at least one")
        made = [_stock(ledger, f"{_KEY}.stock[{n}]", s) for n, s in enumerate(table.stock, 1)]
        return tuple(stock for stock in made if stock is not None)
    if not single and ledger.problems.has(f"{_KEY}.stock"):
        return ()
    for word in ("material", "sections"):
        if word not in single and not ledger.problems.has(f"{_KEY}.{word}"):
            ledger.problems.add(
                f"{_KEY}.{word}",
                "missing; a bar needs material and sections, or [[rear_bar.stock]]; add it",
            )
    stock = _stock(ledger, _KEY, table)
    return () if stock is None else (stock,)


def _stock(ledger: Ledger, key: str, table: RearBarTable | StockTable) -> Stock | None:
    """One steel with its sections; None where either was refused."""
    steel = read_steel(ledger, f"{key}.material", table.material)
    return stock_of_steel(ledger, key, steel, table.sections)


def stock_of_steel(
    ledger: Ledger, key: str, steel: Steel | None, sections: tuple[str, ...] | str | None
) -> Stock | None:
    """A steel with its sections, of the table `key`; None where either was refused."""
    if isinstance(sections, str):
        if steel is None:
            return None
        try:
            return stock_from_list(steel, sections)
        except ValueError as error:
            ledger.problems.add(f"{key}.sections", str(error))
            return None
    parsed = _sections(ledger, f"{key}.sections", sections or ())
    if steel is None or not parsed:
        return None
    try:
        return Stock(steel, parsed)
    except ValueError as error:
        ledger.problems.add(f"{key}.sections", str(error))
        return None


def _sections(ledger: Ledger, key: str, texts: tuple[str, ...]) -> tuple[Section, ...]:
    """Sections given one by one."""
    sections: dict[Section, None] = {}  # a list would be searched through for each
    for number, text in enumerate(texts, 1):
        try:
            section = parse_section(text)
        except ValueError as error:
            ledger.problems.add(f"{key}[{number}]", str(error))
            continue
        if section in sections:
            ledger.problems.add(f"{key}[{number}]", f"{section.label} stands twice; remove one")
        sections[section] = None
    return tuple(sections)
