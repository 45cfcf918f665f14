"""Lean test: people or masses moved left and right, the lean read, gives the net roll stiffness."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rollsim.estimates import Estimate, Fit
from rollsim.measured.branch import Branch, fit_rubbing, rubbing
from rollsim.vehicle import STANDARD_GRAVITY


@dataclass(frozen=True, slots=True)
class LeanStep:
    """One reading.

    Parameters
    ----------
    moment : float
        First moment of what was moved, to the right of the centreline [kg·m]: mass × offset,
        negative on the left. What is moved stays on board all through.
    lean : float
        Of the body against the level, positive to the right [rad].
    branch : Branch
        Rising where the last move was to the right, falling where it was to the left.
    """

    moment: float
    lean: float
    branch: Branch


@dataclass(frozen=True, slots=True)
class LeanResult:
    """What a lean test says of the vehicle with its people on board.

    Parameters
    ----------
    net_roll_stiffness : Estimate
        Moment per body roll: springs, bars, bushes and tyres less what weight takes [N·m/rad].
    friction : Estimate
        Half the friction loop [N·m]; NaN where all was moved one way.
    half_width : Estimate
        Lean that friction holds to either side [rad].
    lean_at_rest : float
        With all on the centreline, between both branches [rad].
    reading_error, largest_residual : float
        Standard error of a reading of lean, and the worst of them [rad].
    """

    net_roll_stiffness: Estimate
    friction: Estimate
    half_width: Estimate
    lean_at_rest: float
    reading_error: float
    largest_residual: float


def lean_test(
    steps: Sequence[LeanStep], *, reading_error: float | None = None, moment_error: float = 0.0
) -> LeanResult:
    """Net roll stiffness and friction of a vehicle.

    Parameters
    ----------
    steps : sequence of LeanStep
        Out to one side, back through the middle, and out to the other one.
    reading_error : float or None
        Standard error of one reading of lean [rad]; None: from the scatter.
    moment_error : float
        Standard error of one first moment, of mass and offset together [kg·m].

    Returns
    -------
    LeanResult
        [N·m/rad, N·m, rad].

    Raises
    ------
    ValueError
        If the readings do not fix the stiffness, or the sides moved to are swapped.

    Notes
    -----
    lean = at rest + (g m y − f s)/K_net. Body roll as seen from the ground holds the tyres, so
    K_net is that of springs and tyres in series less what weight takes as the body leans:
    what `rollsim.measured.net_roll_stiffness` predicts. Linear: small angles, no stage, stop or
    lash on the way.

    Examples
    --------
    >>> right, left = Branch.RISING, Branch.FALLING
    >>> readings = ((60, 0.0095, right), (120, 0.0205, right), (60, 0.0125, left),
    ...             (-60, -0.0095, left), (-120, -0.0205, left), (-60, -0.0125, right))
    >>> found = lean_test([LeanStep(*each) for each in readings])
    >>> round(math.radians(found.net_roll_stiffness.value)), round(found.friction.value)
    (934, 80)
    """
    leans = np.array([step.lean for step in steps])
    fit = fit_lean(steps, leans, reading_error=reading_error, moment_error=moment_error)
    found = rubbing(fit)
    if found.is_swapped(leans):
        raise ValueError(
            "after moves to the left it leans further right than after moves to the right, by "
            f"{2.0 * math.degrees(abs(found.half_width.value)):.2f} deg: no friction does that; "
            "check whether the sides last moved to are swapped"
        )
    return LeanResult(
        net_roll_stiffness=found.stiffness,
        friction=found.half_loop,
        half_width=found.half_width,
        lean_at_rest=found.offset,
        reading_error=found.reading_error,
        largest_residual=found.largest_residual,
    )


def fit_lean(
    steps: Sequence[LeanStep],
    leans: np.ndarray,
    *,
    reading_error: float | None = None,
    moment_error: float = 0.0,
) -> Fit:
    """Fit leans at the moments and branches of a lean test.

    Parameters
    ----------
    steps : n LeanStep
        Moments [kg·m] and branches.
    leans : (n,) or (n, M) array
        One set of leans, or M of them [rad].
    reading_error : float or None
        Standard error of one lean [rad]; None: from the scatter.
    moment_error : float
        Standard error of one first moment [kg·m].

    Returns
    -------
    Fit
        Offset [rad], flexibility [rad/(N·m)] and half width [rad].
    """
    moments = [STANDARD_GRAVITY * step.moment for step in steps]
    return fit_rubbing(
        moments,
        leans,
        [step.branch for step in steps],
        reading_error=reading_error,
        force_error=STANDARD_GRAVITY * moment_error,
    )


def arch_lean(left_rise: float, right_rise: float, track: float) -> float:
    """Lean from the heights of two wheel arches above the ground.

    Parameters
    ----------
    left_rise, right_rise : float
        Of the arches from the first reading on, or their heights [m].
    track : float
        Between the two points that are read [m].

    Returns
    -------
    float
        Positive where the right side is the lower one [rad].

    Raises
    ------
    ValueError
        If the difference is not less than the distance.

    Notes
    -----
    sin φ = (left − right)/distance. From the ground, tyres included: hub to arch would leave the
    tyres out and show too little lean.

    Examples
    --------
    >>> round(math.degrees(arch_lean(0.812, 0.785, 1.55)), 2)
    1.0
    """
    if not abs(left_rise - right_rise) < track:
        raise ValueError("the arches differ by more than they stand apart; check the readings")
    return math.asin((left_rise - right_rise) / track)
