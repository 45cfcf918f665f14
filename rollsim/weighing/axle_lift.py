"""How high is the centre of gravity, from lifting one axle?

The vehicle stands on scales with one axle, the other is lifted. The higher the CG, the more mass
moves to the axle on the scales.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum

import numpy as np

from rollsim.estimates import Estimate, least_squares, propagated

Words = Callable[[float], str]
FEW_KILOGRAMS = 4.0  # kg, to tell what the scales do to the height
LOWEST, HIGHEST = 0.2, 2.0  # m, of a vehicle's CG, as for cg_height in the file
DISAGREE = 2.0  # scatter of the lifts over what the errors of the readings explain
WELL_INCLINED = math.radians(15.0)
"""Course notes ask for more inclination than this [rad]. [axle-lift]"""


class RaisedAxle(Enum):
    """The axle that is lifted; the scales are under the other one."""

    FRONT = "front"
    REAR = "rear"


@dataclass(frozen=True, slots=True)
class Lift:
    """One lift.

    Parameters
    ----------
    height : float
        Rise of the lifted wheels' centres against those on the scales, from level [m].
    mass : float
        On the axle left on the scales, lifted [kg].
    """

    height: float
    mass: float


@dataclass(frozen=True, slots=True)
class AxleLift:
    """The test: suspension blocked, brakes off, gearbox in neutral, wheels free to roll.

    Parameters
    ----------
    wheelbase : float
        Level [m].
    front_axle_mass, rear_axle_mass : float
        Level [kg].
    front_radius, rear_radius : float
        Height of the wheel centres above ground, loaded, level [m].
    lifts : tuple of Lift
        At least one.
    raised : RaisedAxle
        Which axle was lifted.
    """

    wheelbase: float
    front_axle_mass: float
    rear_axle_mass: float
    front_radius: float
    rear_radius: float
    lifts: tuple[Lift, ...]
    raised: RaisedAxle = RaisedAxle.REAR

    @property
    def total(self) -> float:
        """Mass of the vehicle [kg]."""
        return self.front_axle_mass + self.rear_axle_mass


@dataclass(frozen=True, slots=True)
class AxleLiftErrors:
    """Standard errors of the readings.

    Parameters
    ----------
    mass : float
        Of one axle mass [kg].
    height : float
        Of a lift [m].
    wheelbase, radius : float
        [m].
    level_mass : float or None
        Of one axle mass, level, where it is another [kg]; None: as `mass`.
    """

    mass: float = 2.5
    height: float = 0.003
    wheelbase: float = 0.003
    radius: float = 0.003
    level_mass: float | None = None


@dataclass(frozen=True, slots=True)
class CgHeight:
    """CG height of the whole vehicle, as it stood.

    Parameters
    ----------
    height : Estimate
        Above ground, level; its standard error carries those of all readings [m]. Where the lifts
        disagree it is that of their scatter.
    disagree : bool
        The lifts scatter about their line by more than twice what the readings explain.
    scatter_error : float
        Standard error from the scatter of the lifts about their line alone [m]; NaN with fewer
        than two lifts. Much above the other one, something moved: a suspension not blocked, a
        wheel not free.
    inclinations : tuple of float
        Of each lift [rad].
    per_mass : float
        Of CG height by what is read on the scales, at the highest lift [m/kg].
    """

    height: Estimate
    disagree: bool
    scatter_error: float
    inclinations: tuple[float, ...]
    per_mass: float


def lift_tangent(wheelbase: float, lift: float, *, radius_drop: float = 0.0) -> float:
    """Tangent of the angle through which a lift turns the vehicle.

    Parameters
    ----------
    wheelbase, lift : float
        [m].
    radius_drop : float
        How much lower the wheel centres of the lifted axle stand when level [m].

    Returns
    -------
    float
        [-].

    Raises
    ------
    ValueError
        If the lift is not below the wheelbase.

    Notes
    -----
    The wheelbase is the slope's length, its base is shorter: tan θ = lift / √(L² − lift²), not
    lift / L. [axle-lift] With a radius drop d exactly L sin θ + d (1 − cos θ) = lift.

    Examples
    --------
    >>> base = 18.0 * 0.0254 / lift_tangent(110.0 * 0.0254, 18.0 * 0.0254)
    >>> round(base / 0.0254, 1)
    108.5
    """
    slope = math.hypot(wheelbase, radius_drop)
    sine = (lift - radius_drop) / slope
    if not (wheelbase > 0.0 and 0.0 < lift < wheelbase and abs(sine) < 1.0):
        raise ValueError(f"a lift of {lift * 1e3:g} mm: allowed above 0 and below the wheelbase")
    return math.tan(math.asin(sine) + math.atan2(radius_drop, wheelbase))


def cg_height(test: AxleLift, errors: AxleLiftErrors | None = None) -> CgHeight:
    """CG height from one or several lifts of one axle, with its standard error.

    Parameters
    ----------
    test : AxleLift
        Masses [kg] and lengths [m].
    errors : AxleLiftErrors or None
        Standard errors of the readings; None: those of careful work with a tape and corner scales.

    Returns
    -------
    CgHeight
        [m].

    Raises
    ------
    ValueError
        If a reading cannot be.

    Notes
    -----
    See `cg_height_of_lifts` for the equation. The suspension must be blocked: a body that pitches
    on its springs in the lift reads too high or too low by more than the scales do. Fuel, water
    and loads that run or slide do so too. Laboratories differ by a few per cent. [axle-lift-umtri]

    Examples
    --------
    >>> test = AxleLift(3.085, 1130.0, 860.0, 0.37, 0.37, (Lift(0.6, 1172.0),))
    >>> found = cg_height(test, AxleLiftErrors(mass=4.0 / math.sqrt(2.0)))
    >>> round(found.height.value, 3), round(found.height.standard_error, 3)
    (0.698, 0.032)
    """
    _check(test)
    errors = errors or AxleLiftErrors()
    readings, sizes = _readings(test, errors)
    tangents = [_tangent(test, lift.height) for lift in test.lifts]
    angles = tuple(math.atan(t) for t in tangents)
    height = propagated(lambda values: cg_height_of_lifts(_taken(test, values)), readings, sizes)
    scatter = _scatter(test, np.array(tangents))
    disagree = scatter > DISAGREE * height.standard_error
    if disagree:
        height = Estimate(height.value, scatter, len(tangents) - 1.0)
    per_mass = test.wheelbase / (test.total * max(tangents))
    return CgHeight(height, disagree, scatter, angles, per_mass)


def implausible(height: float) -> str:
    """Why a CG height by axle lift cannot be.

    Parameters
    ----------
    height : float
        Above ground [m].

    Returns
    -------
    str
        What was found, what is allowed, what to do; empty where it may be.
    """
    low, high = LOWEST, HIGHEST
    if low <= height <= high:
        return ""
    return (
        f"found readings that give {height * 1e3:.5g} mm; allowed {low * 1e3:.0f} mm to "
        f"{high * 1e3:.0f} mm; check which axle was raised, its masses and heights"
    )


def cg_height_of_lifts(test: AxleLift) -> float:
    """CG height, the readings taken as they are.

    Parameters
    ----------
    test : AxleLift
        Masses [kg] and lengths [m].

    Returns
    -------
    float
        [m].

    Notes
    -----
    Moments about the lifted wheels' centre: with F on the axle left on the scales level, F' with
    the other one lifted, W the total, r_s and r_l the loaded radii of the axle on the scales and
    of the lifted one,

        (z - r_l) tan θ = L (F' - F)/W + (r_s - r_l)(F'/W) tan θ

    which for equal radii is z = r + L (F' - F)/(W tan θ). [axle-lift] Several lifts: the least
    squares line of the right side against tan θ, the level reading being one point of it.

    Examples
    --------
    >>> lifts = (Lift(0.6, 1040.0),)
    >>> round(cg_height_of_lifts(AxleLift(3.0, 1000.0, 1000.0, 0.35, 0.35, lifts)), 4)
    0.6439
    """
    tangents = np.array([0.0, *(_tangent(test, lift.height) for lift in test.lifts)])
    rises = np.array([0.0, *_shifts(test, tangents[1:])])
    centred = tangents - tangents.mean()
    return _lifted_radius(test) + float(centred @ rises / (centred @ centred))


def _standing(test: AxleLift) -> float:
    """Mass on the axle left on the scales, level [kg]."""
    return test.front_axle_mass if test.raised is RaisedAxle.REAR else test.rear_axle_mass


def _lifted_radius(test: AxleLift) -> float:
    return test.rear_radius if test.raised is RaisedAxle.REAR else test.front_radius


def _radius_drop(test: AxleLift) -> float:
    """How much lower the lifted axle's wheel centres stand, level [m]."""
    drop = test.front_radius - test.rear_radius
    return drop if test.raised is RaisedAxle.REAR else -drop


def _tangent(test: AxleLift, lift: float) -> float:
    return lift_tangent(test.wheelbase, lift, radius_drop=_radius_drop(test))


def _shifts(test: AxleLift, tangents: np.ndarray) -> np.ndarray:
    """What stands against tan θ [m]: the slope is the CG's height over lifted wheels' centres."""
    lifted = np.array([lift.mass for lift in test.lifts])
    moved = test.wheelbase * (lifted - _standing(test))
    return (moved + _radius_drop(test) * lifted * tangents) / test.total


def _scatter(test: AxleLift, tangents: np.ndarray) -> float:
    """Standard error from the residuals of the line through the level reading."""
    if len(tangents) < 2:
        return math.nan
    along = np.array([0.0, *tangents])
    fit = least_squares((np.ones_like(along), along), np.array([0.0, *_shifts(test, tangents)]))
    return float(fit.combination(np.array([0.0, 1.0])))


def _readings(test: AxleLift, errors: AxleLiftErrors) -> tuple[list[float], list[float]]:
    """All readings in one row, and their standard errors."""
    first = [test.front_axle_mass, test.rear_axle_mass, test.wheelbase]
    first += [test.front_radius, test.rear_radius]
    level = errors.mass if errors.level_mass is None else errors.level_mass
    sizes = [level, level, errors.wheelbase, errors.radius, errors.radius]
    for lift in test.lifts:
        first += [lift.height, lift.mass]
        sizes += [errors.height, errors.mass]
    return first, sizes


def _taken(test: AxleLift, values: np.ndarray) -> AxleLift:
    """The test with the readings of `_readings`."""
    front, rear, wheelbase, front_radius, rear_radius, *pairs = (float(v) for v in values)
    lifts = tuple(Lift(*pair) for pair in zip(pairs[::2], pairs[1::2], strict=True))
    return AxleLift(
        wheelbase,
        front,
        rear,
        front_radius=front_radius,
        rear_radius=rear_radius,
        lifts=lifts,
        raised=test.raised,
    )


def _check(test: AxleLift) -> None:
    if not min(test.front_axle_mass, test.rear_axle_mass) > 0.0:
        raise ValueError("axle masses must be above zero")
    if not test.lifts:
        raise ValueError("no lift: at least one is needed")
    for lift in test.lifts:
        if not 0.0 < lift.mass < test.total:
            raise ValueError(
                f"{lift.mass:g} kg on the axle left on the scales: allowed above 0 and below the "
                f"whole {test.total:g} kg"
            )


def _in_kg(mass: float) -> str:
    return f"{mass:.3g} kg"


def _in_mm(length: float) -> str:
    return f"{length * 1e3:.0f} mm"


def lift_notes(found: CgHeight, *, mass: Words = _in_kg, length: Words = _in_mm) -> tuple[str, ...]:
    """What a reader of a CG height by axle lift should know.

    Parameters
    ----------
    found : CgHeight
        From `cg_height`.
    mass, length : callable
        Write a mass [kg] and a length [m] with the reader's unit.

    Returns
    -------
    tuple of str
        Without full stops, lifts that disagree first.
    """
    steepest = max(found.inclinations)
    notes = [
        f"{mass(FEW_KILOGRAMS)} on the scales are {length(FEW_KILOGRAMS * found.per_mass)} of CG "
        "height at the highest lift; laboratories differ by a few per cent",
        "block the suspension, brakes off, gearbox in neutral: a body that pitches on its springs "
        "spoils the reading more than the scales do",
    ]
    if found.disagree:
        notes.insert(
            0,
            f"the lifts scatter about their line by {length(found.scatter_error)} of CG height, "
            "more than the readings explain: something moved; lift again",
        )
    if steepest <= WELL_INCLINED:
        notes.append(
            f"at most {math.degrees(steepest):.0f} deg of inclination: the test wants well above "
            "15 deg, and the error grows as the lift falls"
        )
    if len(found.inclinations) < 2:
        notes.append("one lift cannot show that something moved: take a second, at another height")
    return tuple(notes)
