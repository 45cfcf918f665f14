"""Load items from what a fitter can weigh: tow ball, tank, and the vehicle before and after."""

from dataclasses import dataclass

import numpy as np

from rollsim.estimates import Estimate, propagated
from rollsim.vehicle import Load, Place
from rollsim.weighing.scales import CornerMasses


@dataclass(frozen=True, slots=True)
class Tank:
    """A tank that is an upright prism: its liquid stands level from the bottom up.

    Parameters
    ----------
    capacity : float
        Full [m³].
    density : float
        Of the liquid [kg/m³]: water 1000, petrol about 745, diesel about 840 (common practice).
    bottom, height : float
        Of the inside: bottom above ground, the vehicle as weighed, and from there to the top [m].
    """

    capacity: float
    density: float
    bottom: float
    height: float


@dataclass(frozen=True, slots=True)
class WeighedItem:
    """Mass and place of a load item by weighing without it and with it.

    Parameters
    ----------
    mass : Estimate
        [kg].
    behind_front_axle, left_of_centreline : Estimate
        [m].
    """

    mass: Estimate
    behind_front_axle: Estimate
    left_of_centreline: Estimate


def tow_ball_load(
    ball_mass: float, behind_rear_axle: float, *, wheelbase: float, height: float
) -> Load:
    """A trailer's weight on the tow ball as a load item behind the rear axle.

    Parameters
    ----------
    ball_mass : float
        What the coupling weighs, trailer level [kg].
    behind_rear_axle : float
        The ball's overhang [m].
    wheelbase : float
        [m].
    height : float
        Of the ball above ground, the vehicle as weighed [m].

    Returns
    -------
    Load
        On the tow bar. Its lever over the rear axle takes weight off the front axle,
        m overhang / wheelbase, and puts more than its own mass on the rear.

    Raises
    ------
    ValueError
        If mass or overhang is negative, or the wheelbase not above zero.

    Notes
    -----
    A point mass at the ball. At rest that is exact; in a bend a trailer also pulls sideways at
    the ball, which no load item shows. Weight-distributing hitches are left out.

    Examples
    --------
    >>> ball = tow_ball_load(200.0, 1.2, wheelbase=3.0, height=0.45)
    >>> rear = ball.mass * ball.behind_front_axle / 3.0
    >>> round(rear), round(ball.mass - rear)
    (280, -80)
    """
    if ball_mass < 0.0 or behind_rear_axle < 0.0 or not wheelbase > 0.0:
        raise ValueError("ball mass and overhang may not be negative; wheelbase above zero")
    behind = wheelbase + behind_rear_axle
    return Load("tow ball", ball_mass, behind, height, place=Place.TOW_BAR)


def tank_load(
    tank: Tank, fill: float, behind_front_axle: float, *, left_of_centreline: float = 0.0
) -> Load:
    """A part-full tank as a load item.

    Parameters
    ----------
    tank : Tank
        Its size and place in height.
    fill : float
        Part of its capacity [-], 0 to 1.
    behind_front_axle, left_of_centreline : float
        Of its middle [m].

    Returns
    -------
    Load
        The liquid alone, at the height of its own CG.

    Raises
    ------
    ValueError
        If the fill is not from 0 to 1.

    Notes
    -----
    m = capacity × density × fill, CG at bottom + fill × height / 2. The liquid counts as frozen:
    in a bend a free surface runs to the outer side and a half-full tank leans the vehicle more.

    Examples
    --------
    >>> half = tank_load(Tank(0.080, 1000.0, 0.5, 0.3), 0.5, 2.4)
    >>> half.mass, round(half.height, 3)
    (40.0, 0.575)
    """
    if not 0.0 <= fill <= 1.0:
        raise ValueError(f"fill {fill:g}: allowed 0 to 1")
    return Load(
        "tank",
        tank.capacity * tank.density * fill,
        behind_front_axle,
        tank.bottom + 0.5 * fill * tank.height,
        left_of_centreline=left_of_centreline,
    )


def added_load(
    before: CornerMasses,
    after: CornerMasses,
    *,
    wheelbase: float,
    front_track: float,
    rear_track: float,
    height: float,
) -> Load:
    """Mass and place of a load item from the corner masses without it and with it.

    Parameters
    ----------
    before, after : CornerMasses
        On the same scales, bounced both times [kg].
    wheelbase, front_track, rear_track : float
        [m].
    height : float
        Of the item's CG above ground: scales cannot tell it [m].

    Returns
    -------
    Load
        Along the vehicle from the axle masses, across from the corner masses.

    Raises
    ------
    ValueError
        If nothing was added.

    Notes
    -----
    m = Σ Δ, x = L Δ_rear / m, y = Σ (Δ_left − Δ_right) t/2 / m. The pitch and lean that the item
    causes shift the vehicle's own CG a little, and count as the item's: some millimetres of its
    place for each centimetre of squat. A position error is σ_scale × wheelbase / m, large for
    light items.

    Examples
    --------
    >>> found = added_load(CornerMasses(560, 555, 440, 435), CornerMasses(575, 560, 530, 485),
    ...                    wheelbase=3.65, front_track=1.7, rear_track=1.69, height=1.3)
    >>> found.mass, round(found.behind_front_axle, 3), round(found.left_of_centreline, 3)
    (160, 3.194, 0.264)
    """
    front_left = after.front_left - before.front_left
    front_right = after.front_right - before.front_right
    rear_left = after.rear_left - before.rear_left
    rear_right = after.rear_right - before.rear_right
    added = front_left + front_right + rear_left + rear_right
    if not added > 0.0:
        raise ValueError(f"the vehicle is {-added:g} kg lighter after: nothing was added")
    left = 0.5 * ((front_left - front_right) * front_track + (rear_left - rear_right) * rear_track)
    return Load(
        "weighed item",
        added,
        wheelbase * (rear_left + rear_right) / added,
        height,
        left_of_centreline=left / added,
    )


def weighed_item(
    before: CornerMasses,
    after: CornerMasses,
    *,
    wheelbase: float,
    front_track: float,
    rear_track: float,
    mass_error: float,
) -> WeighedItem:
    """Mass and place of a load item with their standard errors.

    Parameters
    ----------
    before, after : CornerMasses
        On the same scales, bounced both times [kg].
    wheelbase, front_track, rear_track : float
        [m].
    mass_error : float
        Standard error of one corner mass [kg].

    Returns
    -------
    WeighedItem
        [kg], [m].

    Raises
    ------
    ValueError
        If nothing was added that the scales can tell.

    Notes
    -----
    `added_load`, its eight readings independent: the mass is good to √8 σ, the place x along the
    vehicle to 2 σ √((L − x)² + x²)/m. [gum]

    Examples
    --------
    >>> found = weighed_item(CornerMasses(560, 555, 440, 435), CornerMasses(575, 560, 530, 485),
    ...     wheelbase=3.65, front_track=1.7, rear_track=1.69, mass_error=1.0)
    >>> round(found.mass.standard_error, 2), round(found.behind_front_axle.standard_error, 3)
    (2.83, 0.04)
    """
    readings = [getattr(c, name) for c in (before, after) for name in CornerMasses.__slots__]
    added = after.total - before.total
    least = 2.0 * mass_error * np.sqrt(len(readings))
    if not added > least:
        raise ValueError(
            f"the vehicle is {added:.4g} kg heavier after; scales good to {mass_error:.2g} kg a "
            f"corner tell no less than {least:.2g} kg"
        )

    def figure(name: str) -> Estimate:
        def of(values: np.ndarray) -> float:
            each = [float(v) for v in values]
            load = added_load(
                CornerMasses(*each[:4]),
                CornerMasses(*each[4:]),
                wheelbase=wheelbase,
                front_track=front_track,
                rear_track=rear_track,
                height=0.0,
            )
            return float(getattr(load, name))

        return propagated(of, readings, [mass_error] * len(readings))

    names = ("mass", "behind_front_axle", "left_of_centreline")
    return WeighedItem(*(figure(name) for name in names))
