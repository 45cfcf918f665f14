"""A bar on a vehicle by vernier and tape: its rate and roll stiffness, with their errors."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from rollsim.bar.geometry import BarShape, link_spacing, straight_u
from rollsim.bar.links import Installation
from rollsim.bar.rate import (
    link_end_rate,
    roll_stiffness_independent,
    roll_stiffness_solid_axle,
)
from rollsim.bar.sections import MeasuredSection
from rollsim.bar.steel import Section, find_steel
from rollsim.estimates import BAND, Estimate, coverage_factor, propagated
from rollsim.units import Quantity

VERNIER_ERROR, TAPE_ERROR = 1e-4, 5e-3
"""Half the 90 % band of a diameter and of a length that state none [m]: common practice."""
USUAL_STEEL = find_steel("51CrV4 spring temper")
"""Every built-in steel has its moduli, so a rate does not hang on which it is."""
YOUNGS, SHEAR = Quantity(USUAL_STEEL.youngs_modulus), Quantity(USUAL_STEEL.shear_modulus)
SQUARE = Quantity(0.0)


@dataclass(frozen=True, slots=True)
class BarReadings:
    """Dimensions of a bar, each with half its 90 % band.

    Parameters
    ----------
    section : MeasuredSection
        Diameter, and wall of a tube [m].
    bush_spacing : Quantity
        Between the middles of the bushes [m].
    centre_length, lever : Quantity or None
        Of a straight U: between the bends, and arm square to the centre section [m].
    splay : Quantity
        Of its arms from square [rad].
    link_spacing : Quantity or None
        Between its link ends, in place of `splay` [m].
    shape : BarShape or None
        A centreline in place of a straight U [m].
    bush_rate, link_rate : Quantity or None
        In series [N/m]; None: rigid.
    arm_angle, link_inclination : Quantity
        [rad].
    bend_radius : float
        Of a straight U [m].
    youngs_modulus, shear_modulus : Quantity
        [Pa].
    """

    section: MeasuredSection
    bush_spacing: Quantity
    centre_length: Quantity | None = None
    lever: Quantity | None = None
    splay: Quantity = SQUARE
    link_spacing: Quantity | None = None
    shape: BarShape | None = None
    bush_rate: Quantity | None = None
    link_rate: Quantity | None = None
    arm_angle: Quantity = SQUARE
    link_inclination: Quantity = SQUARE
    bend_radius: float = 0.0
    youngs_modulus: Quantity = YOUNGS
    shear_modulus: Quantity = SHEAR


def splay_of(spacing: float, centre_length: float, lever: float) -> float:
    """Splay of arms whose link ends stand so far apart.

    Parameters
    ----------
    spacing, centre_length, lever : float
        Of a straight U [m].

    Returns
    -------
    float
        From square, outward positive [rad].

    Examples
    --------
    >>> round(math.degrees(splay_of(1.0505, 0.94, 0.26)), 1)
    12.0
    """
    return math.atan2(0.5 * (spacing - centre_length), lever)


def rate_by_dimensions(readings: BarReadings) -> Estimate:
    """Link-end rate of a bar from its dimensions.

    Parameters
    ----------
    readings : BarReadings
        [m].

    Returns
    -------
    Estimate
        Force at one end per travel of that end, the ends moving oppositely [N/m].

    Raises
    ------
    ValueError
        If the shape cannot be.

    Notes
    -----
    See `link_end_rate`. Without bushes it grows with D⁴ − d⁴: 0.1 mm on 28 mm solid is 1.4 %.
    [unit-load] [gum]

    Examples
    --------
    >>> from rollsim.bar.sections import parse_measured_section
    >>> sizes = (Quantity(0.82), Quantity(0.94), Quantity(0.26))
    >>> found = rate_by_dimensions(BarReadings(parse_measured_section("28 mm solid"), *sizes))
    >>> round(found.value / 1e3, 1), round(found.standard_error / found.value, 3)
    (130.3, 0.026)
    """
    return _carried(readings, {}, lambda rate, spacing, more: rate)


def stiffness_by_dimensions(
    readings: BarReadings, *, installation_ratio: Quantity | None, track: float
) -> Estimate:
    """Roll stiffness of a bar from its dimensions.

    Parameters
    ----------
    readings : BarReadings
        [m].
    installation_ratio : Quantity or None
        Link travel per wheel travel on independent suspension [-]; None: across a solid axle.
    track : float
        Of the axle [m]; used on independent suspension alone.

    Returns
    -------
    Estimate
        Per axle [N·m/rad].

    Raises
    ------
    ValueError
        If the shape cannot be.

    Notes
    -----
    K = k B²/2 across a solid axle, k r² t²/2 on independent suspension.

    Examples
    --------
    >>> from rollsim.bar.sections import parse_measured_section
    >>> sizes = (Quantity(0.82), Quantity(0.94), Quantity(0.26))
    >>> bar = BarReadings(parse_measured_section("28 mm solid"), *sizes)
    >>> found = stiffness_by_dimensions(bar, installation_ratio=None, track=1.55)
    >>> round(found.value), round(rate_by_dimensions(bar).value * 0.94**2 / 2.0)
    (57579, 57579)
    """
    if installation_ratio is None:
        return _carried(readings, {}, lambda k, b, more: roll_stiffness_solid_axle(k, b))

    def across(rate: float, spacing: float, more: dict[str, float]) -> np.ndarray:
        return roll_stiffness_independent(rate, installation_ratio=more["ratio"], track=track)

    return _carried(readings, {"ratio": installation_ratio}, across)


def _carried(
    readings: BarReadings,
    more: dict[str, Quantity],
    figure: Callable[[float, float, dict[str, float]], float | np.ndarray],
) -> Estimate:
    """A figure from rate, link spacing and more, the errors of all readings carried through."""
    read = {**_by_name(readings), **more}
    names = tuple(read)

    def at(values: np.ndarray) -> float:
        given = dict(zip(names, (float(v) for v in values), strict=True))
        return float(figure(*_rate_and_spacing(readings, given), given))

    nominal = at(np.array([one.value for one in read.values()]))

    def guarded(values: np.ndarray) -> float:
        # Bushes that lie at the bend cannot lie further out: what is read counts to one side.
        try:
            return at(values)
        except ValueError:
            return nominal

    bands = [one.tolerance or _unstated(name) for name, one in read.items()]
    errors = [band / coverage_factor(math.inf, BAND) for band in bands]
    return propagated(guarded, [one.value for one in read.values()], errors)


def _by_name(readings: BarReadings) -> dict[str, Quantity]:
    """The readings that the rate hangs on."""
    named = {
        "diameter": readings.section.outer_diameter,
        "wall": readings.section.wall,
        "bush_spacing": readings.bush_spacing,
        "bush_rate": readings.bush_rate,
        "link_rate": readings.link_rate,
        "arm_angle": readings.arm_angle,
        "link_inclination": readings.link_inclination,
        "youngs_modulus": readings.youngs_modulus,
        "shear_modulus": readings.shear_modulus,
    }
    if readings.shape is None:
        named |= {"centre_length": readings.centre_length, "lever": readings.lever}
        by_links = readings.link_spacing is not None
        named["link_spacing" if by_links else "splay"] = readings.link_spacing or readings.splay
    return {name: one for name, one in named.items() if one is not None}


def _unstated(name: str) -> float:
    if name in ("diameter", "wall"):
        return VERNIER_ERROR
    lengths = ("bush_spacing", "centre_length", "lever", "link_spacing")
    return TAPE_ERROR if name in lengths else 0.0


def shape_of(readings: BarReadings) -> BarShape:
    """The bar's shape as read; lengths in [m]."""
    return _shape(readings, {name: one.value for name, one in _by_name(readings).items()})


def _shape(readings: BarReadings, at: dict[str, float]) -> BarShape:
    if readings.shape is not None:
        return readings.shape
    centre, lever = at["centre_length"], at["lever"]
    by_links = "link_spacing" in at
    splay = splay_of(at["link_spacing"], centre, lever) if by_links else at["splay"]
    return straight_u(
        centre_length=centre, lever=lever, splay=splay, bend_radius=readings.bend_radius
    )


def _rate_and_spacing(readings: BarReadings, at: dict[str, float]) -> tuple[float, float]:
    shape = _shape(readings, at)
    rate = link_end_rate(
        shape,
        at["bush_spacing"],
        Section(at["diameter"], at.get("wall")).second_moment,
        steel=replace(
            USUAL_STEEL,
            youngs_modulus=at["youngs_modulus"],
            shear_modulus=at["shear_modulus"],
        ),
        bush_rate=at.get("bush_rate"),
        link_rate=at.get("link_rate"),
        installation=Installation(at["arm_angle"], at["link_inclination"]),
    )
    return float(rate), link_spacing(shape)
