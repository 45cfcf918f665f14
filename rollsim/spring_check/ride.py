"""Ride frequency, and what a spring of any kind tells beyond its curve."""

import math
from dataclasses import dataclass

import numpy as np

from rollsim.springs import HelicalSpring, LeafPack, LinearSpring, Spring


@dataclass(frozen=True, slots=True)
class Stage:
    """Where a second stage comes in, compression from as-weighed height [m].

    Parameters
    ----------
    start, full : float
        First touch, and where its whole rate works [m].
    """

    start: float
    full: float


def ride_rate(spring_rate: float, tyre_rate: float) -> float:
    """Rate of spring and tyre in series.

    Parameters
    ----------
    spring_rate, tyre_rate : float
        On one side, the spring's at the wheel [N/m].

    Returns
    -------
    float
        [N/m].

    Notes
    -----
    k_s k_t/(k_s + k_t). [gillespie]

    Examples
    --------
    >>> round(ride_rate(36e3, 250e3))
    31469
    """
    return spring_rate * tyre_rate / (spring_rate + tyre_rate)


def ride_frequency(spring_rate: float, tyre_rate: float, sprung_mass: float) -> float:
    """Undamped frequency of the body over one wheel.

    Parameters
    ----------
    spring_rate, tyre_rate : float
        On one side, the spring's at the wheel [N/m].
    sprung_mass : float
        On that side [kg].

    Returns
    -------
    float
        [Hz].

    Notes
    -----
    √(ride rate/m)/2π: axle for axle, as if the other end stood still. [gillespie]

    Examples
    --------
    >>> round(ride_frequency(36e3, 250e3, 335.0), 2)
    1.54
    """
    return math.sqrt(ride_rate(spring_rate, tyre_rate) / sprung_mass) / (2.0 * math.pi)


def second_stage(spring: Spring) -> Stage | None:
    """Where a spring's second stage comes in; None where it has none.

    Parameters
    ----------
    spring : Spring
        Of any kind.

    Returns
    -------
    Stage or None
        Compression at the wheel or at the spring, as the spring's curve has it [m].

    Examples
    --------
    >>> second_stage(LinearSpring(36e3, stage_start=0.055, stage_rate=60e3))
    Stage(start=0.055, full=0.055)
    """
    if isinstance(spring, LinearSpring) and spring.stage_start is not None:
        return Stage(spring.stage_start, spring.stage_start)
    if isinstance(spring, LeafPack) and spring.helper is not None:
        start, travel = spring.helper.start, spring.helper.contact_travel
        ratio = spring.motion_ratio
        return Stage(start / ratio, (start + travel) / ratio)
    return None


def travel_to_bind(spring: Spring, load: float) -> float:
    """Compression at which the coils of a spring close.

    Parameters
    ----------
    spring : Spring
        Of any kind.
    load : float
        Force as weighed [N].

    Returns
    -------
    float
        From as-weighed height, as the spring's curve has it [m]; NaN where no coils are known.
    """
    return spring.travel_to_bind(load) if isinstance(spring, HelicalSpring) else math.nan


def spring_stress(spring: Spring, compression: float, load: float) -> float:
    """Greatest stress in a spring whose dimensions are known.

    Parameters
    ----------
    spring : Spring
        Of any kind.
    compression : float
        From as-weighed height, as the spring's curve has it [m].
    load : float
        Force as weighed [N].

    Returns
    -------
    float
        Bending of a leaf, shear of a coil [Pa]; NaN where the dimensions are not known.
    """
    if isinstance(spring, HelicalSpring):
        return float(spring.stress(spring.curve(load).force(np.array(compression))))
    if isinstance(spring, LeafPack):
        state = spring.at(np.array(compression), load)
        each = (state.full_length_stress, state.graduated_stress, state.helper_stress)
        return max(float(stress) for stress in each)
    return math.nan
