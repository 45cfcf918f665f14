"""Shape, couplings and steel of a bar: of the one to be sized and of those on the vehicle."""

import math
from collections.abc import Callable

from rollsim.bar import BarShape, Steel, find_steel, straight_u, unit_load_integrals
from rollsim.scenario.bar_tables import BarShapeTable, MaterialTable
from rollsim.scenario.ledger import Ledger
from rollsim.units import Dimension, Quantity
from rollsim.vehicle import Suspension


def finite(value: float | None) -> float | None:
    """Zero in place of a refused value [any unit], so that the bar's own checks still run."""
    return 0.0 if value is not None and math.isnan(value) else value


def check_installation_ratio(
    ledger: Ledger, key: str, table: BarShapeTable, suspension: Suspension | None
) -> None:
    """Check the installation ratio: independent suspension needs it, a solid axle has none.

    Without a suspension, where that was refused, neither is asked for.

    Where the suspension was refused (None) nothing is checked.
    """
    key = f"{key}.installation_ratio"
    if (
        suspension is Suspension.INDEPENDENT
        and table.installation_ratio is None
        and not ledger.problems.has(key)
    ):
        ledger.problems.add(
            key,
            "missing; independent suspension needs it; add it (link travel per wheel travel)",
        )
    if suspension is Suspension.SOLID_AXLE and table.installation_ratio is not None:
        ledger.problems.add(key, "a solid axle has none, the link spacing does its work; remove it")


def coupling_rate(
    ledger: Ledger,
    key: str,
    found: Quantity | str | None,
    *,
    known: dict[str, tuple[float, float]],
) -> float | None:
    """Rate of a bush or link [N/m], given or by its kind; None: rigid.

    `known` has the rate of each kind and its spread [N/m].
    """
    if not isinstance(found, str):
        return ledger.take_or_none(key, found)
    band = tuple(number / 1e6 for number in known[found])
    why = f"{found}, common practice"
    return ledger.assume(key, band, "kN/mm", dimension=Dimension.RATE, why=why)


def bar_shapes(
    ledger: Ledger, key: str, table: BarShapeTable, *, splay: float
) -> tuple[BarShape, ...]:
    """One shape a hole, or the one of a centreline of points.

    Those that could be made, lengths in [m]; `splay` is that of the arms [rad].
    """
    straight = {
        "centre_length": table.centre_length,
        "arm_holes": table.arm_holes,
        "arm_splay": table.arm_splay,
    }
    radius = finite(ledger.take(f"{key}.bend_radius", table.bend_radius))
    if table.centreline is not None:
        for word, value in straight.items():
            if value is not None:
                ledger.problems.add(f"{key}.{word}", "centreline replaces it; remove one of them")
        lever = table.centreline[-1][0]
        make = _maker(lambda: BarShape(lever, table.centreline, radius))
        return _made(ledger, f"{key}.centreline", [make])
    if ledger.problems.has(f"{key}.centreline"):
        return ()
    for word in ("centre_length", "arm_holes"):
        if straight[word] is None and not ledger.problems.has(f"{key}.{word}"):
            ledger.problems.add(
                f"{key}.{word}",
                "missing; a bar needs centre_length and arm_holes, or a centreline; add it",
            )
    centre = ledger.take(f"{key}.centre_length", table.centre_length, math.nan)
    holes = [
        ledger.take(f"{key}.arm_holes[{n}]", hole)
        for n, hole in enumerate(table.arm_holes or (), 1)
    ]
    _check_holes_differ(ledger, key, holes)
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
    return _made(ledger, f"{key}.bend_radius", makes)


def _check_holes_differ(ledger: Ledger, key: str, holes: list[float]) -> None:
    doubled = sorted({hole for hole in holes if holes.count(hole) > 1})
    if doubled:
        ledger.problems.add(
            f"{key}.arm_holes", f"{doubled[0] * 1e3:.5g} mm stands twice; remove one of them"
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


def check_bushes(
    ledger: Ledger,
    key: str,
    shapes: tuple[BarShape, ...],
    bush_spacing: float,
    *,
    arm_angle: float,
) -> None:
    """Check that the bushes lie on the straight middle of every shape.

    Spacing in [m], NaN where it was refused; `arm_angle` in [rad].
    """
    if math.isnan(bush_spacing):
        return
    for shape in shapes:
        try:
            unit_load_integrals(shape, bush_spacing, arm_angle=arm_angle)
        except ValueError as error:
            ledger.problems.add(f"{key}.bush_spacing", str(error))


def read_steel(ledger: Ledger, key: str, found: MaterialTable | str | None) -> Steel | None:
    """A built-in steel by name, or the user's own; None where it was refused or is left out."""
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
