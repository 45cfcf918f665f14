"""Which roll stiffness, or which CG height, makes the full model predict what was measured?"""

import math
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from enum import Enum

import numpy as np

from rollsim import mass
from rollsim.equilibrium import settle, solve_arrow
from rollsim.estimates import Estimate, Lopsided
from rollsim.mass import State
from rollsim.roll import secant_roll_gradient, straight_ahead
from rollsim.roll.figures import TURN
from rollsim.vehicle import Job, Load

Prediction = Callable[[Job], float]
"""What the full model says a test will measure: a figure of a job in SI, NaN for none."""

CLOSE = 1e-9  # of the measured figure
MOST_STEPS = 60
SLOPE_STEP = 1e-4  # of the scale of the unknown
_STIFFNESS_SCALE, _HEIGHT_SCALE = 20e3, 0.5  # N·m/rad, m


class Unknown(Enum):
    """What is taken to be wrong."""

    TOTAL_ROLL_STIFFNESS = "total roll stiffness"
    FRONT_ROLL_STIFFNESS = "front roll stiffness"
    REAR_ROLL_STIFFNESS = "rear roll stiffness"
    CG_HEIGHT = "CG height"


ENDS = {
    Unknown.TOTAL_ROLL_STIFFNESS: ("front", "rear"),
    Unknown.FRONT_ROLL_STIFFNESS: ("front",),
    Unknown.REAR_ROLL_STIFFNESS: ("rear",),
    Unknown.CG_HEIGHT: (),
}
"""At which ends each unknown moves the auxiliary roll stiffness."""


@dataclass(frozen=True, slots=True)
class Calibration:
    """A vehicle that agrees with a test.

    Parameters
    ----------
    job : Job
        With the unknown put right.
    unknown : Unknown
        What was moved.
    value : Estimate
        The CG height [m], or the roll stiffness added to the one that was stated [N·m/rad]; its
        interval has what agrees with both ends of that of the test.
    stated : float
        The CG height before [m]; 0 for a roll stiffness [N·m/rad].
    predicted_before : float
        What the model said of the test before [unit of the test].
    below_zero : bool
        The auxiliary roll stiffness that was moved is negative over the whole interval, and the
        stated one lies outside: a spring, bar or tyre is softer than stated.
    """

    job: Job
    unknown: Unknown
    value: Estimate
    stated: float
    predicted_before: float
    below_zero: bool

    @property
    def is_proven(self) -> bool:
        """What was stated lies outside the interval."""
        low, high = self.value.interval
        return self.stated < low or self.stated > high


def roll_gradient(state: State, at: float | None = None) -> Prediction:
    """Predict what a road test measures.

    Parameters
    ----------
    state : State
        As it was driven.
    at : float or None
        Lateral acceleration of the secant [m/s²]; None: at straight ahead.

    Returns
    -------
    callable
        From a job to its roll gradient [rad/(m/s²)].
    """

    def predict(job: Job) -> float:
        model, settled = settle(mass.model(job, state), TURN)
        if not settled.converged[0]:
            return math.nan
        if at is None:
            return float(straight_ahead(model, settled).roll_gradient[0])
        found = float(secant_roll_gradient(model, settled, at)[0])
        return found if math.isfinite(found) else math.nan

    return predict


def net_roll_stiffness(state: State, moved: Load | None = None) -> Prediction:
    """Predict what a lean test measures.

    Parameters
    ----------
    state : State
        As it stood, people on board, in the middle.
    moved : Load or None
        What was moved, where that is known: it comes on board in the middle. None: it is on board
        already, and counts as if it stood where the body's CG is.

    Returns
    -------
    callable
        From a job to its net roll stiffness [N·m/rad].

    Notes
    -----
    A mass moved to the right by δ puts m g δ on body roll alone, on the ends of a frame that twists
    by its place along the wheelbase: 1/K_net is how far the cab leans by it on the full tangent at
    rest.
    """
    stood = state if moved is None else replace(state, loads=(*state.loads, moved))

    def predict(job: Job) -> float:
        model, settled = settle(mass.model(job, stood), TURN)
        if not settled.converged[0]:
            return math.nan
        balance = TURN.balance(model, settled.x)
        moment = np.zeros_like(balance.residual)
        behind = model.rear_share if moved is None else moved.behind_front_axle / model.wheelbase
        moment[0], moment[7] = 1.0, np.clip(behind, 0.0, 1.0)
        leaned = solve_arrow(balance, moment)
        return float(1.0 / (leaned[0] + model.cab_share * leaned[7])[0])

    return predict


def calibrate(
    job: Job, unknown: Unknown, measured: Estimate, *, predict: Prediction
) -> Calibration:
    """Move one unknown until the full model predicts what was measured.

    Parameters
    ----------
    job : Job
        As stated.
    unknown : Unknown
        What is taken to be wrong; all else is taken as right.
    measured : Estimate
        Roll gradient [rad/(m/s²)] or net roll stiffness [N·m/rad], with its standard error.
    predict : Prediction
        `roll_gradient` or `net_roll_stiffness` of the state that was tested.

    Returns
    -------
    Calibration
        The job put right, and the unknown with its interval.

    Raises
    ------
    ValueError
        If no value of the unknown meets the test.

    Notes
    -----
    The root of predicted = measured by the secant method, for the test and for both ends of its
    interval; the standard error is that of the test divided by the slope of the prediction there,
    and so is the interval where an end has no root. One figure fixes one unknown: an error in any
    other input goes into it.

    The roll stiffness is changed as auxiliary roll stiffness, the total one in the proportion of
    front and rear as stated. A lean test says little of the CG height, which enters only through
    the weight that helps the vehicle over: its interval tells.
    """
    before = predict(job)
    if not (math.isfinite(measured.value) and math.isfinite(before)):
        raise ValueError("nothing to compare: the vehicle as stated, or the test, has no figure")

    scale = _HEIGHT_SCALE if unknown is Unknown.CG_HEIGHT else _STIFFNESS_SCALE

    def root(test: float, start: float) -> float:
        return _root(lambda move: predict(moved(job, unknown, move)) / test - 1.0, scale, start)

    move = root(measured.value, 0.0)
    step = SLOPE_STEP * scale
    more, less = (predict(moved(job, unknown, move + side)) for side in (step, -step))
    error = measured.standard_error * 2.0 * step / abs(more - less)
    stated = job.vehicle.cg_height if unknown is Unknown.CG_HEIGHT else 0.0
    value = Estimate(stated + move, error, measured.degrees_of_freedom)
    if ends := _ends(root, measured, move):
        value = Lopsided(**asdict(value), ends=(stated + ends[0], stated + ends[1]))
    found = Calibration(moved(job, unknown, move), unknown, value, stated, before, below_zero=False)
    least = at_the_nearer_end(found, job).job.vehicle
    left = sum(getattr(least, end).auxiliary_roll_stiffness for end in ENDS[unknown])
    return replace(found, below_zero=found.is_proven and left < 0.0)


def _ends(
    root: Callable[[float, float], float], measured: Estimate, move: float
) -> tuple[float, float] | None:
    """What agrees with the ends of the interval of a test, from `move`; None where nothing does."""
    if not all(0.0 < end < math.inf for end in measured.interval):
        return None
    try:
        found = [root(end, move) for end in measured.interval]
    except ValueError:
        return None
    return min(found), max(found)


def at_the_nearer_end(found: Calibration, job: Job) -> Calibration:
    """The least correction that agrees with a test.

    Parameters
    ----------
    found : Calibration
        CG height [m] or roll stiffness [N·m/rad].
    job : Job
        As stated.

    Returns
    -------
    Calibration
        With the end of the interval that is nearer to what was stated; that where it lies within.
    """
    low, high = found.value.interval
    nearer = low if found.stated < low else high if found.stated > high else found.stated
    value = replace(found.value, value=nearer)
    return replace(found, job=moved(job, found.unknown, nearer - found.stated), value=value)


def moved(job: Job, unknown: Unknown, move: float) -> Job:
    """The same vehicle with one unknown changed.

    Parameters
    ----------
    job : Job
        As stated.
    unknown : Unknown
        Which.
    move : float
        Change of the CG height [m] or of a roll stiffness [N·m/rad].

    Returns
    -------
    Job
        A copy.
    """
    vehicle = job.vehicle
    if unknown is Unknown.CG_HEIGHT:
        return replace(job, vehicle=replace(vehicle, cg_height=vehicle.cg_height + move))
    front, rear = vehicle.front, vehicle.rear
    share = {
        Unknown.FRONT_ROLL_STIFFNESS: 1.0,
        Unknown.REAR_ROLL_STIFFNESS: 0.0,
    }.get(unknown, _front_share(job))
    front = replace(front, auxiliary_roll_stiffness=front.auxiliary_roll_stiffness + share * move)
    rest = (1.0 - share) * move
    rear = replace(rear, auxiliary_roll_stiffness=rear.auxiliary_roll_stiffness + rest)
    return replace(job, vehicle=replace(vehicle, front=front, rear=rear))


def _axles(job: Job) -> tuple:
    return job.vehicle.front, job.vehicle.rear


def _front_share(job: Job) -> float:
    """Front share of the roll stiffness as stated, springs at as-weighed height."""
    stiffness = []
    for axle, load in zip(_axles(job), mass.sprung_load(job), strict=True):
        rate = float(axle.spring.curve(load).tangent_rate(np.array(0.0)))
        own = axle.auxiliary_roll_stiffness + axle.bar_roll_stiffness
        stiffness.append(0.5 * rate * axle.spring_base**2 + own)
    return stiffness[0] / sum(stiffness)


def _root(gap: Callable[[float], float], scale: float, start: float) -> float:
    """Where `gap` is zero: secant steps, halved where the vehicle would no longer stand."""
    here, value = start, gap(start)
    step = 1e-3 * scale
    for _ in range(MOST_STEPS):
        if abs(value) < CLOSE:
            return here
        there, other = _standing_step(gap, here, step, scale=scale)
        if other == value:
            break
        slope = (other - value) / (there - here)
        here, value = there, other
        step = -value / slope
    raise ValueError(
        "no value of the unknown makes the model agree with the test; something else is wrong: "
        "check readings, state and the other inputs"
    )


def _standing_step(
    gap: Callable[[float], float], here: float, step: float, *, scale: float
) -> tuple[float, float]:
    """A bounded step, halved until there is a figure."""
    step = max(-scale, min(scale, step))
    for _ in range(20):
        value = gap(here + step)
        if math.isfinite(value):
            return here + step, value
        step *= 0.5
    return here, gap(here)
