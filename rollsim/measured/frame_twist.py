"""Frame-twist test: blocks under opposite corners, scales and levels tell how a frame twists."""

import math
from collections.abc import Callable
from dataclasses import astuple, dataclass, replace
from enum import Enum

import numpy as np

from rollsim import mass
from rollsim.equilibrium import settle
from rollsim.estimates import BAND, Estimate, coverage_factor, propagated
from rollsim.mass import State
from rollsim.roll import TURN
from rollsim.vehicle import STANDARD_GRAVITY, Job
from rollsim.weighing import AxleLiftErrors, CornerMasses

SCALE_ERROR = AxleLiftErrors().mass  # kg, standard error of one wheel's scale
LEVEL_ERROR = math.radians(0.1) / coverage_factor(math.inf, BAND)  # rad, a level good to 0.1 deg
LEAST_BLOCK, GREATEST_BLOCK = 0.02, 0.3  # m
SOFTEST, STIFFEST = (math.degrees(each) for each in (300.0, 100e3))  # N·m/rad, as in the file
ONE_BLOCK = math.degrees(2000.0)  # N·m/rad: above, one block twists too little to be told by
TOLD = 3.0  # standard errors that a twist has to reach
OUTSIDE = 2.0  # standard errors by which a share may miss what can be
ENDS_DISAGREE = 0.15  # of the moment; judgement
WEIGHTS_DISAGREE = 0.03  # of the mass; judgement
_ANY_FRAME = math.degrees(3000.0)


class Blocks(Enum):
    """Which wheels stand on blocks."""

    DIAGONAL = "two wheels diagonally"
    REAR = "one rear wheel alone"


@dataclass(frozen=True, slots=True)
class TwistReading:
    """Scales and levels with the blocks one way.

    Parameters
    ----------
    masses : CornerMasses
        On each wheel, blocks not counted [kg].
    front, rear : float
        Lean of the frame over the front and the rear axle, right side down positive [rad].
    cab : float or None
        The same on the cab's sill [rad]; None where it is not read.
    """

    masses: CornerMasses
    front: float
    rear: float
    cab: float | None = None


@dataclass(frozen=True, slots=True)
class TwistEnd:
    """What the readings need to know of one end of the vehicle.

    Parameters
    ----------
    track : float
        [m].
    above, below : float
        First moments over the roll centre of what leans with the body, and of all below it over
        the ground, which leans with the axle [kg·m].
    tyre_rate : float
        Vertical, of one tyre [N/m].
    free_turn : float
        Of body over axle, before a stop touches [rad]; infinite without stops.
    """

    track: float
    above: float
    below: float
    tyre_rate: float
    free_turn: float = math.inf


@dataclass(frozen=True, slots=True)
class TwistVehicle:
    """The vehicle on the blocks.

    Parameters
    ----------
    mass : float
        Whole, as it is meant to stand there [kg].
    front, rear : TwistEnd
        Its ends.
    """

    mass: float
    front: TwistEnd
    rear: TwistEnd


@dataclass(frozen=True, slots=True)
class FrameTwist:
    """What a frame-twist test says.

    Parameters
    ----------
    stiffness : Estimate
        Of the frame with what is bolted to it, from axle to axle [N·m/rad].
    cab_share : Estimate or None
        Of the twist that the cab takes up [-]; None where no level was on its sill.
    twist : float
        Between the axles, one way [rad].
    front_moment, rear_moment : float
        That twists the frame, by the front scales and by the rear ones [N·m].
    turns : tuple of float
        Of the body over the front and the rear axle, one way [rad].
    free_turns : tuple of float
        The same before a stop touches [rad].
    """

    stiffness: Estimate
    cab_share: Estimate | None
    twist: float
    front_moment: float
    rear_moment: float
    turns: tuple[float, float]
    free_turns: tuple[float, float]

    @property
    def touched(self) -> bool:
        """Whether a stop of either axle was reached."""
        return any(turn > free for turn, free in zip(self.turns, self.free_turns, strict=True))


def twist_vehicle(job: Job, state: State) -> TwistVehicle:
    """What the readings need to know of a vehicle.

    Parameters
    ----------
    job : Job
        Vehicle, loads and changes [SI].
    state : State
        As it stands on the blocks.

    Returns
    -------
    TwistVehicle
        [SI]. Each item leans with front and rear by its place; no stiffness of a frame is needed.
    """
    stiffness = job.vehicle.frame_torsional_stiffness or _ANY_FRAME
    twisting = replace(job, vehicle=replace(job.vehicle, frame_torsional_stiffness=stiffness))
    model, settled = settle(mass.model(twisting, state), TURN)
    constants = model.constants
    travel = settled.x[2:4, 0]
    sense = np.array([1.0, -1.0])[:, None]  # of bump stop and rebound limit
    fitted = model.stop_rate[..., 0] > 0.0
    left = model.stop_gap[..., 0] + sense * model.stop_ratio[..., 0] * travel
    reach = 0.5 * model.stop_ratio[..., 0] * model.stop_base[..., 0]
    sines = np.divide(left, reach, out=np.full_like(left, np.inf), where=fitted & (reach > 0.0))
    sines = np.clip(sines.min(axis=0), 0.0, np.inf)
    ends = [
        TwistEnd(
            float(model.track[n, 0]),
            float(constants.above[n, 0]),
            float(constants.below[n, 0]),
            float(model.tyre_rate[n, 0]),
            float(np.arcsin(sines[n])) if sines[n] < 1.0 else math.inf,
        )
        for n in (0, 1)
    ]
    return TwistVehicle(float(model.total_mass[0]), *ends)


def frame_twist(
    first: TwistReading,
    second: TwistReading,
    vehicle: TwistVehicle,
    *,
    block: float,
    blocks: Blocks = Blocks.DIAGONAL,
    mass_error: float = SCALE_ERROR,
    level_error: float = LEVEL_ERROR,
) -> FrameTwist:
    """Torsional stiffness of a frame, and the cab's share of its twist.

    Parameters
    ----------
    first, second : TwistReading
        Blocks under front left and rear right; under front right and rear left [kg, rad].
    vehicle : TwistVehicle
        From `twist_vehicle` [SI].
    block : float
        Height of the blocks [m].
    blocks : Blocks
        One rear wheel alone: first rear right, then rear left.
    mass_error, level_error : float
        Standard errors of one scale [kg] and of one level [rad].

    Returns
    -------
    FrameTwist
        [N·m/rad, -].

    Raises
    ------
    ValueError
        If the readings cannot be of one vehicle, or tell no twist.

    Notes
    -----
    Moments on the front end about the ground: T = g [(t/2) cos p (m_L − m_R) + A sin φ + B sin p],
    A the first moment of the body over its roll centre, B that of all below, φ the level, p the
    axle's roll from block and tyres. What is on the front twists the frame against the rear: K is
    the difference of T between both ways over that of φ_f − φ_r, so that a load off centre, a
    level's zero and a cab that sits askew fall out. Springs and stops do not enter. The rear gives
    −T: half of what the ends differ by counts as an error of T.

    Examples
    --------
    >>> end = TwistEnd(1.56, 400.0, 120.0, 250e3)
    >>> one = TwistReading(CornerMasses(700.0, 400.0, 300.0, 600.0), 0.035, -0.035, 0.028)
    >>> other = TwistReading(CornerMasses(400.0, 700.0, 600.0, 300.0), -0.035, 0.035, -0.028)
    >>> found = frame_twist(one, other, TwistVehicle(2000.0, end, end), block=0.125)
    >>> round(math.radians(found.stiffness.value)), round(found.cab_share.value, 2)
    (626, 0.1)
    """
    _check_masses(first, second, vehicle)
    if not LEAST_BLOCK <= block <= GREATEST_BLOCK:
        raise ValueError(
            f"blocks of {block * 1e3:.0f} mm: allowed {LEAST_BLOCK * 1e3:.0f} mm to "
            f"{GREATEST_BLOCK * 1e3:.0f} mm; 100 mm to 150 mm serve"
        )
    told = _Test(first, second, vehicle, np.array(_raised(block, blocks)))
    readings, errors = told.readings(mass_error, level_error)

    def known(what: Callable[[np.ndarray], float]) -> Estimate:
        return propagated(what, readings, errors)

    moment, rear_moment = known(lambda x: told.moment(x, 0)), -told.moment(np.array(readings), 1)
    twist = known(told.twist)
    _check_moments(moment, rear_moment)
    _check_twist(twist)
    stiffness = known(lambda x: told.moment(x, 0) / told.twist(x))
    apart = 0.5 * stiffness.value * (moment.value - rear_moment) / moment.value
    stiffness = Estimate(stiffness.value, math.hypot(stiffness.standard_error, apart))
    _check_stiffness(stiffness.value, blocks)
    share = None if told.without_cab else known(told.cab_share)
    _check_share(share)
    ends = (vehicle.front, vehicle.rear)
    return FrameTwist(
        stiffness,
        share,
        twist.value,
        moment.value,
        rear_moment,
        tuple(told.turn(np.array(readings), n) for n in (0, 1)),
        tuple(end.free_turn for end in ends),
    )


def _raised(block: float, blocks: Blocks) -> tuple[tuple[float, float], tuple[float, float]]:
    """Height under left wheel over that under the right one, front and rear, both ways [m]."""
    front = block if blocks is Blocks.DIAGONAL else 0.0
    return (front, -block), (-front, block)


@dataclass(frozen=True, slots=True)
class _Test:
    """Both readings as one row of numbers: four masses and three levels each way."""

    first: TwistReading
    second: TwistReading
    vehicle: TwistVehicle
    raised: np.ndarray

    @property
    def without_cab(self) -> bool:
        return self.first.cab is None or self.second.cab is None

    def readings(self, mass_error: float, level_error: float) -> tuple[list[float], list[float]]:
        row: list[float] = []
        for way in (self.first, self.second):
            row += [*astuple(way.masses), way.front, way.rear, way.cab or 0.0]
        return row, ([mass_error] * 4 + [level_error] * 3) * 2

    def axle_roll(self, way: np.ndarray, number: int, end: int) -> float:
        """Right side down, of an axle on its blocks and tyres [rad]."""
        own = (self.vehicle.front, self.vehicle.rear)[end]
        left, right = way[2 * end : 2 * end + 2] * STANDARD_GRAVITY / own.tyre_rate
        return math.asin(max(-1.0, min(1.0, (self.raised[number, end] - left + right) / own.track)))

    def _halved(self, row: np.ndarray, what: Callable[[np.ndarray, int], float]) -> float:
        one, other = row.reshape(2, 7)
        return 0.5 * (what(one, 0) - what(other, 1))

    def moment(self, row: np.ndarray, end: int) -> float:
        """That the end puts on the frame, to the right in the first way [N·m]."""
        own = (self.vehicle.front, self.vehicle.rear)[end]

        def one_way(way: np.ndarray, number: int) -> float:
            axle = self.axle_roll(way, number, end)
            left, right = way[2 * end : 2 * end + 2]
            scales = 0.5 * own.track * math.cos(axle) * (left - right)
            return STANDARD_GRAVITY * (
                scales + own.above * math.sin(way[4 + end]) + own.below * math.sin(axle)
            )

        return self._halved(row, one_way)

    def twist(self, row: np.ndarray) -> float:
        """Of the front against the rear, to the right in the first way [rad]."""
        return self._halved(row, lambda way, _: way[4] - way[5])

    def cab_share(self, row: np.ndarray) -> float:
        return self._halved(row, lambda way, _: way[4] - way[6]) / self.twist(row)

    def turn(self, row: np.ndarray, end: int) -> float:
        """Of the body over the axle [rad]."""
        return abs(self._halved(row, lambda way, n: way[4 + end] - self.axle_roll(way, n, end)))


def _check_masses(first: TwistReading, second: TwistReading, vehicle: TwistVehicle) -> None:
    ways = [np.array(astuple(way.masses)) for way in (first, second)]
    if not (np.concatenate(ways) > 0.0).all():
        raise ValueError(
            "a wheel carries nothing: it hangs free, and the twist is no longer told by the "
            "blocks; use lower ones"
        )
    one, other = (float(way.sum()) for way in ways)
    if abs(one - other) > WEIGHTS_DISAGREE * one:
        raise ValueError(
            f"the scales read {one:.0f} kg together one way and {other:.0f} kg the other; take the "
            "blocks off the readings, and read all wheels again"
        )
    if abs(one - vehicle.mass) > WEIGHTS_DISAGREE * vehicle.mass:
        raise ValueError(
            f"the scales read {one:.0f} kg together, but in that state the vehicle has "
            f"{vehicle.mass:.0f} kg; choose the state it stood in, or correct the masses"
        )


def _check_moments(moment: Estimate, rear_moment: float) -> None:
    if not moment.value > TOLD * moment.standard_error:
        raise ValueError(
            "the raised corners carry no more than the others; check which wheels had the blocks "
            "(first under front left and rear right) and which scale is which"
        )
    if abs(moment.value - rear_moment) > ENDS_DISAGREE * moment.value:
        raise ValueError(
            f"by the front scales the frame is twisted with {moment.value:.0f} N·m, by the rear "
            f"ones with {rear_moment:.0f} N·m; they must agree: check the readings, the tracks and "
            "the CG height, and that brakes and steering let the wheels find their place"
        )


def _check_twist(twist: Estimate) -> None:
    words = f"{math.degrees(twist.value):.2f} deg"
    if twist.value < -TOLD * twist.standard_error:
        raise ValueError(
            f"the frame twists by {words}, against its blocks; right side down is positive, and "
            "check that front and rear level and both ways are not swapped"
        )
    if not twist.value > TOLD * twist.standard_error:
        reach = math.degrees(TOLD * twist.standard_error)
        raise ValueError(
            f"the levels show {words} of twist, which their error hides (below {reach:.2f} deg); "
            "use higher blocks or a finer level, or leave the frame rigid"
        )


def _check_stiffness(stiffness: float, blocks: Blocks) -> None:
    value, low, high = (f"{math.radians(x):.0f}" for x in (stiffness, SOFTEST, STIFFEST))
    if not SOFTEST <= stiffness <= STIFFEST:
        raise ValueError(
            f"the readings give {value} N·m/deg; allowed {low} N·m/deg to {high} N·m/deg; check "
            "that levels and scales are in their units and over their axles"
        )
    if blocks is Blocks.REAR and stiffness > ONE_BLOCK:
        raise ValueError(
            f"one block under a rear wheel gives {value} N·m/deg, but above "
            f"{math.radians(ONE_BLOCK):.0f} N·m/deg it twists a frame too little; put blocks under "
            "two wheels diagonally"
        )


def _check_share(share: Estimate | None) -> None:
    if share is None:
        return
    outside = OUTSIDE * share.standard_error
    if not -outside <= share.value <= 1.0 + outside:
        raise ValueError(
            f"the cab takes {share.value:.2f} of the twist, which cannot be; allowed 0 (leans with "
            "the frame's front) to 1 (with its rear): check the level on the sill, or leave it out"
        )
