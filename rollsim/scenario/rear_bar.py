"""The rear bar to be sized, from the file's [rear_bar]."""

import math
from collections.abc import Callable

from rollsim.bar import (
    BUSH_RATES,
    LINK_RATES,
    BarShape,
    Installation,
    RearBar,
    Section,
    Steel,
    Stock,
    find_steel,
    link_angles,
    parse_section,
    stock_from_list,
    straight_u,
    unit_load_integrals,
)
from rollsim.scenario.bounds import MOST_BARS
from rollsim.scenario.ledger import Ledger
from rollsim.scenario.schema import MaterialTable, RearBarTable, StockTable
from rollsim.units import Dimension, Quantity
from rollsim.vehicle import Axle, Change, Suspension

_KEY = "rear_bar"


def build_rear_bar(
    ledger: Ledger, table: RearBarTable, rear: Axle | None, *, change: Change
) -> RearBar | None:
    """Build the bar to be sized.

    Parameters
    ----------
    ledger : Ledger
        Takes errors, assumed values and tolerances.
    table : RearBarTable
        From the file.
    rear : Axle or None
        The rear axle; None where it was refused.
    change : Change
        A lift shifts the travel that the link angles are checked over.

    Returns
    -------
    RearBar or None
        None where too much was refused.
    """
    suspension = None if rear is None else rear.suspension
    ratio = _installation_ratio(ledger, table, suspension)
    bush_spacing = ledger.take(f"{_KEY}.bush_spacing", table.bush_spacing)
    bush_rate = _coupling_rate(ledger, "bush_rate", table.bush_rate, known=BUSH_RATES)
    link_rate = _coupling_rate(ledger, "link_rate", table.link_rate, known=LINK_RATES)
    installation = _installation(ledger, table)
    shapes = _shapes(ledger, table)
    _check_bushes(ledger, shapes, bush_spacing, arm_angle=installation.arm_angle)
    if rear is not None:
        _check_links(ledger, shapes, installation, rear=rear, change=change, ratio=ratio)
    stocks = _stocks(ledger, table)
    _check_how_many(ledger, shapes, stocks)
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
        )
    except ValueError as error:
        ledger.problems.add(_KEY, str(error))
        return None


def _check_how_many(
    ledger: Ledger, shapes: tuple[BarShape, ...], stocks: tuple[Stock, ...]
) -> None:
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
            arm_angle=_finite(ledger.take(f"{_KEY}.arm_angle", table.arm_angle)),
            link_inclination=_finite(
                ledger.take(f"{_KEY}.link_inclination", table.link_inclination)
            ),
            link_length=_finite(ledger.take_or_none(f"{_KEY}.link_length", table.link_length))
            or None,
            lash=_finite(ledger.take(f"{_KEY}.lash", table.lash)),
        )
    except ValueError as error:
        ledger.problems.add(_KEY, str(error))
        return Installation()


def _finite(value: float | None) -> float | None:
    """Zero in place of a refused value, so that the bar's own checks still run."""
    return 0.0 if value is not None and math.isnan(value) else value


def _installation_ratio(
    ledger: Ledger, table: RearBarTable, suspension: Suspension | None
) -> float:
    key = f"{_KEY}.installation_ratio"
    if suspension is Suspension.INDEPENDENT and table.installation_ratio is None:
        ledger.problems.add(
            key,
            "missing; independent suspension needs it; add it (link travel per wheel travel)",
        )
    if suspension is Suspension.SOLID_AXLE and table.installation_ratio is not None:
        ledger.problems.add(key, "a solid axle has none, the link spacing does its work; remove it")
    return ledger.take(key, table.installation_ratio, 1.0)


def _coupling_rate(
    ledger: Ledger,
    word: str,
    found: Quantity | str | None,
    *,
    known: dict[str, tuple[float, float]],
) -> float | None:
    """Rate of a bush or link [N/m], given or by its kind; None: rigid."""
    key = f"{_KEY}.{word}"
    if not isinstance(found, str):
        return ledger.take_or_none(key, found)
    band = tuple(number / 1e6 for number in known[found])
    why = f"{found}, common practice"
    return ledger.assume(key, band, "kN/mm", dimension=Dimension.RATE, why=why)


def _shapes(ledger: Ledger, table: RearBarTable) -> tuple[BarShape, ...]:
    """One shape a hole, or the one of a centreline of points."""
    straight = {
        "centre_length": table.centre_length,
        "arm_holes": table.arm_holes,
        "arm_splay": table.arm_splay,
    }
    radius = _finite(ledger.take(f"{_KEY}.bend_radius", table.bend_radius))
    if table.centreline is not None:
        for word, value in straight.items():
            if value is not None:
                ledger.problems.add(f"{_KEY}.{word}", "centreline replaces it; remove one of them")
        lever = table.centreline[-1][0]
        make = _maker(lambda: BarShape(lever, table.centreline, radius))
        return _made(ledger, f"{_KEY}.centreline", [make])
    if ledger.problems.has(f"{_KEY}.centreline"):
        return ()
    for word in ("centre_length", "arm_holes"):
        if straight[word] is None and not ledger.problems.has(f"{_KEY}.{word}"):
            ledger.problems.add(
                f"{_KEY}.{word}",
                "missing; a bar needs centre_length and arm_holes, or a centreline; add it",
            )
    centre = ledger.take(f"{_KEY}.centre_length", table.centre_length, math.nan)
    splay = _finite(ledger.take(f"{_KEY}.arm_splay", table.arm_splay))
    holes = [
        ledger.take(f"{_KEY}.arm_holes[{n}]", hole)
        for n, hole in enumerate(table.arm_holes or (), 1)
    ]
    _check_holes_differ(ledger, holes)
    if not math.isfinite(centre) or not all(math.isfinite(hole) for hole in holes):
        return ()
    makes = [
        _maker(
            lambda lever=lever: straight_u(
                centre_length=centre, lever=lever, splay=splay, bend_radius=radius
            )
        )
        for lever in holes
    ]
    return _made(ledger, f"{_KEY}.bend_radius", makes)


def _check_holes_differ(ledger: Ledger, holes: list[float]) -> None:
    doubled = sorted({hole for hole in holes if holes.count(hole) > 1})
    if doubled:
        ledger.problems.add(
            f"{_KEY}.arm_holes", f"{doubled[0] * 1e3:.5g} mm stands twice; remove one of them"
        )


def _maker(make: Callable[[], BarShape]) -> Callable[[], BarShape | ValueError]:
    """Return the error instead of raising it."""

    def attempt() -> BarShape | ValueError:
        try:
            return make()
        except ValueError as error:
            return error

    return attempt


def _made(
    ledger: Ledger, key: str, makes: list[Callable[[], BarShape | ValueError]]
) -> tuple[BarShape, ...]:
    """The shapes that could be made; the errors of the others at `key`."""
    shapes = [make() for make in makes]
    for error in shapes:
        if isinstance(error, ValueError):
            ledger.problems.add(key, str(error))
    return tuple(shape for shape in shapes if isinstance(shape, BarShape))


def _check_bushes(
    ledger: Ledger, shapes: tuple[BarShape, ...], bush_spacing: float, *, arm_angle: float
) -> None:
    """The bushes lie on the straight middle of every shape."""
    if math.isnan(bush_spacing):
        return
    for shape in shapes:
        try:
            unit_load_integrals(shape, bush_spacing, arm_angle=arm_angle)
        except ValueError as error:
            ledger.problems.add(f"{_KEY}.bush_spacing", str(error))


def link_travel(rear: Axle, change: Change, ratio: float) -> tuple[float, float]:
    """Travel of a link between full bump and full droop, from the sized ride height.

    Parameters
    ----------
    rear : Axle
        With its stops.
    change : Change
        A lift shifts the travel.
    ratio : float
        Link travel per wheel travel [-]; 1 across a solid axle.

    Returns
    -------
    tuple of float
        Towards bump and towards droop [m]; zero where no stop is given.
    """
    # What was lifted on the scales has its gaps counted from the lifted height already.
    lift = 0.0 if change.on_when_weighed else change.suspension_lift_rear
    bump = droop = 0.0
    if rear.bump_stop is not None:
        bump = _finite(rear.bump_stop.gap / rear.bump_stop.motion_ratio + lift)
    limit = change.rear_rebound_limit or rear.rebound_limit
    if limit is not None:
        droop = _finite(limit.gap / limit.motion_ratio - lift)
    bump, droop = (max(0.0, travel * _finite(ratio)) for travel in (bump, droop))
    return bump, droop


def _check_links(
    ledger: Ledger,
    shapes: tuple[BarShape, ...],
    installation: Installation,
    *,
    rear: Axle,
    change: Change,
    ratio: float,
) -> None:
    """No link goes over centre between full droop and full bump."""
    bump, droop = link_travel(rear, change, ratio)
    for shape in shapes:
        # Where no stop is given the travel counts as zero: only ride height is checked.
        if (
            shape.lever > 0.0
            and link_angles(
                installation, shape.lever, bump_travel=bump, droop_travel=droop
            ).over_centre
        ):
            ledger.problems.add(
                f"{_KEY}.link_length" if installation.link_length else f"{_KEY}.arm_angle",
                f"the link goes over centre with the {shape.lever * 1e3:.5g} mm arm within "
                f"{bump * 1e3:.4g} mm of bump and {droop * 1e3:.4g} mm of droop at the link; "
                "allowed only travel short of arm and link in line; lengthen the link or the "
                "arm, or check the angles",
            )


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
    steel = _steel(ledger, f"{key}.material", table.material)
    sections = table.sections
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


def _steel(ledger: Ledger, key: str, found: MaterialTable | str | None) -> Steel | None:
    """A built-in steel by name, or the user's own."""
    if found is None:
        return None
    if isinstance(found, str):
        try:
            return find_steel(found)
        except ValueError as error:
            ledger.problems.add(key, str(error))
            return None
    stated = {
        word: ledger.take(f"{key}.{word}", getattr(found, word))
        for word in ("youngs_modulus", "shear_modulus", "density", "fatigue_allowable")
        if getattr(found, word) is not None
    }
    stress = ledger.take(f"{key}.allowable_stress", found.allowable_stress)
    if found.name is None:
        return None
    if any(math.isnan(number) for number in (stress, *stated.values())):
        return None
    return Steel(name=found.name, strengths=((math.inf, stress),), **stated)


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
