"""Load test: masses put on over an axle, the drop read, gives its wheel rate and friction."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rollsim.estimates import Estimate, Fit
from rollsim.measured.branch import Branch, fit_rubbing, rubbing
from rollsim.vehicle import STANDARD_GRAVITY


@dataclass(frozen=True, slots=True)
class LoadStep:
    """One reading.

    Parameters
    ----------
    mass : float
        Added on that axle, both sides together [kg]: best read from scales under its wheels.
    drop : float
        Fall of the arch against the hub from any fixed height, mean of left and right [m].
    branch : Branch
        Rising while loading, falling while unloading.
    """

    mass: float
    drop: float
    branch: Branch


@dataclass(frozen=True, slots=True)
class LoadResult:
    """What a load test says of one side.

    Parameters
    ----------
    wheel_rate : Estimate
        Rate on one side; on a solid axle that is the spring's own [N/m].
    friction : Estimate
        Half the friction loop on one side [N]; NaN where there was no unloading.
    reading_error, largest_residual : float
        Standard error of a reading of the drop, and the worst of them [m]: a worst one that
        stands out, or readings that bend, tell of a stage that came in.
    """

    wheel_rate: Estimate
    friction: Estimate
    reading_error: float
    largest_residual: float


def load_test(
    steps: Sequence[LoadStep],
    *,
    reading_error: float | None = None,
    mass_error: float = 0.0,
    softening: float = 0.0,
) -> LoadResult:
    """Wheel rate and friction of one side of an axle.

    Parameters
    ----------
    steps : sequence of LoadStep
        Loading up and then unloading, within one stage of the spring.
    reading_error : float or None
        Standard error of one reading of the drop [m]; None: from the scatter.
    mass_error : float
        Standard error of one mass [kg].
    softening : float
        From `pitch_softening`, where masses were put on and not weighed under the wheels [N/m].

    Returns
    -------
    LoadResult
        [N/m, N].

    Raises
    ------
    ValueError
        If the readings do not fix the rate, or loading and unloading are swapped.

    Notes
    -----
    drop = offset + (m g/2 − w s)/k for one side, fitted by least squares. From hub to arch the
    tyre is left out; from ground to arch it would be in series. Both sides are taken as alike.

    Examples
    --------
    >>> up, down = Branch.RISING, Branch.FALLING
    >>> readings = ((50, 0.002, up), (100, 0.009, up), (50, 0.0058, down), (0, -0.001, down))
    >>> found = load_test([LoadStep(*each) for each in readings])
    >>> round(found.wheel_rate.value / 1e3, 1), round(found.friction.value)
    (35.5, 68)
    """
    drops = np.array([step.drop for step in steps])
    fit = fit_load(steps, drops, reading_error=reading_error, mass_error=mass_error)
    found = rubbing(fit)
    if found.is_swapped(drops):
        raise ValueError(
            f"unloading lies {2e3 * abs(found.half_width.value):.1f} mm above loading, more than "
            "the readings scatter: no friction does that; check whether the two are swapped"
        )
    rate = found.stiffness
    return LoadResult(
        wheel_rate=Estimate(rate.value + softening, rate.standard_error, rate.degrees_of_freedom),
        friction=found.half_loop,
        reading_error=found.reading_error,
        largest_residual=found.largest_residual,
    )


def fit_load(
    steps: Sequence[LoadStep],
    drops: np.ndarray,
    *,
    reading_error: float | None = None,
    mass_error: float = 0.0,
) -> Fit:
    """Fit drops at the masses and branches of a load test.

    Parameters
    ----------
    steps : n LoadStep
        Masses [kg] and branches.
    drops : (n,) or (n, M) array
        One set of drops, or M of them [m].
    reading_error : float or None
        Standard error of one drop [m]; None: from the scatter.
    mass_error : float
        Standard error of one mass [kg].

    Returns
    -------
    Fit
        Offset [m], flexibility of one side [m/N] and half width [m].
    """
    force = [0.5 * STANDARD_GRAVITY * step.mass for step in steps]
    return fit_rubbing(
        force,
        drops,
        [step.branch for step in steps],
        reading_error=reading_error,
        force_error=0.5 * STANDARD_GRAVITY * mass_error,
    )


def pitch_softening(sprung_mass: float, arm: float, wheelbase: float) -> float:
    """Rate that an axle seems to lose because a high CG follows the pitch.

    Parameters
    ----------
    sprung_mass : float
        With the masses on board, half way through the test [kg].
    arm : float
        Sprung CG over the front roll centre, with the masses on board [m].
    wheelbase : float
        [m].

    Returns
    -------
    float
        To be added to the rate of one side, where the masses were counted and not weighed under
        the wheels [N/m].

    Notes
    -----
    As one axle sinks by x the CG moves x arm / L towards it and puts m_s g arm x / L² on it;
    half of that on each side. Tyres, whose sinking does the same, add about k/k_tyre of it.

    Examples
    --------
    >>> round(pitch_softening(1800.0, 0.65, 3.085))
    603
    """
    return 0.5 * sprung_mass * STANDARD_GRAVITY * arm / wheelbase**2
