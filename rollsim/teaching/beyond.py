"""What does the hand formula miss? Each effect taken out of the full model in turn."""

from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from rollsim import mass
from rollsim.equilibrium import Model, concatenate, settle
from rollsim.roll import SECANT_AT, TURN, secant_roll_gradient, straight_ahead
from rollsim.teaching.hand import HandNumbers, find_state, numbers_of, solve
from rollsim.vehicle import STANDARD_GRAVITY, Job

SHOWN = np.radians(0.005) / STANDARD_GRAVITY  # rad/(m/s²): what rounds to 0.01 deg/g


class Beyond(Enum):
    """What the full model counts and the hand formula does not."""

    SETTLING = "settling"
    CONTACT_SHIFT = "contact shift"
    STOPS = "stops"
    RATE_CHANGE = "rate change"
    OFF_CENTRE = "off centre"
    LINKAGE = "side force through the linkage"
    TWIST = "twist of the frame"


BEYOND_WORDS = {
    Beyond.SETTLING: "The springs settle under the load and pitch the body: CG and roll centres "
    "(roll-centre travel) are no longer where the tape found them. With it goes the weight of the "
    "axle as it leans on its tyres, and at 0.4 g every angle that is not small.",
    Beyond.CONTACT_SHIFT: "The tyres give sideways: their contact patches move inward under the "
    "wheels (tyre contact shift).",
    Beyond.STOPS: "Bump stops and full droop (rebound limit) come into work: past their gap the "
    "suspension stiffens.",
    Beyond.RATE_CHANGE: "The spring changes its rate as the vehicle corners: helper leaves (second "
    "stage), or the bend in a measured spring. The hand formula keeps the rate at rest.",
    Beyond.OFF_CENTRE: "The load is off centre: the vehicle leans at rest, and one side sits "
    "deeper, nearer to its stops. A track bar takes the body aside.",
    Beyond.LINKAGE: "The outer tyre of an independent axle carries more of the side force, which "
    "lifts the body where its roll centre is raised (jacking), and its wheels move across as they "
    "travel.",
    Beyond.TWIST: "The frame twists: the cab leans by another angle than the tray, and a rear bar "
    "or spring does less in the cab than on a stiff frame.",
}


@dataclass(frozen=True, slots=True)
class Missed:
    """What one effect adds to the hand formula's figure.

    `roll_gradient` is at straight ahead, `secant_roll_gradient` at 0.4 g [rad/(m/s²)]; NaN where
    the vehicle tips first.
    """

    effect: Beyond
    roll_gradient: float
    secant_roll_gradient: float

    @property
    def words(self) -> str:
        """What it is, in the words of the shop."""
        return BEYOND_WORDS[self.effect]


def missed(job: Job, name: str) -> tuple[Missed, ...]:
    """What the hand formula misses in one state, by name as for `hand.find_state`.

    Only what moves either figure by 0.005 deg/g is told; together with what is left out it is the
    whole way to the model's figures.

    Notes
    -----
    Twist, changes of rate, off-centre loads, stops, contact shift and side force through the
    linkage are taken out of the model one after the other; settling is what then still lies between
    it and the hand formula. What each adds depends on this order. In place of a spring that changes
    its rate comes a straight one, of the rate that the hand formula takes and through the point
    where the spring stands.
    """
    numbers = numbers_of(job, name)
    by_hand = solve(numbers).roll_gradient
    chain = [mass.model(job, find_state(job, name))]
    chain.append(_stiff(chain[0]))
    chain.append(_one_rate(chain[1], numbers))
    for strip in (_centred, _free_of_stops, _firm_sideways, _without_linkage):
        chain.append(strip(chain[-1]))
    model, settled = settle(concatenate(chain), TURN)
    gradient = np.where(settled.converged, straight_ahead(model, settled).roll_gradient, np.nan)
    secant = secant_roll_gradient(model, settled, SECANT_AT)
    secant = np.where(np.isfinite(secant), secant, np.nan)
    effects = (Beyond.TWIST, Beyond.RATE_CHANGE, Beyond.OFF_CENTRE, Beyond.STOPS)
    effects += (Beyond.CONTACT_SHIFT, Beyond.LINKAGE)
    found = [Missed(Beyond.SETTLING, float(gradient[-1]) - by_hand, float(secant[-1]) - by_hand)]
    for n in reversed(range(len(effects))):
        found.append(
            Missed(
                effects[n],
                float(gradient[n] - gradient[n + 1]),
                float(secant[n] - secant[n + 1]),
            )
        )
    return tuple(m for m in found if _counts(m))


def _counts(m: Missed) -> bool:
    return abs(m.roll_gradient) > SHOWN or abs(m.secant_roll_gradient) > SHOWN


def _stiff(model: Model) -> Model:
    return replace(model, frame_compliance=np.zeros_like(model.frame_compliance))


def _centred(model: Model) -> Model:
    names = ("cg_left", "rear_offset", "track_bar")
    return replace(model, **{name: np.zeros_like(getattr(model, name)) for name in names})


def _without_linkage(model: Model) -> Model:
    return replace(model, independent=np.zeros_like(model.independent))


def _one_rate(model: Model, numbers: HandNumbers) -> Model:
    """Straight springs; what one side alone adds to or takes from them stands beside them."""
    load, found = model.spring_load.copy(), (solve(numbers), solve(numbers.alike))
    for n, axle in enumerate(numbers.axles):
        if axle.sits:
            load[n] = axle.sits.own_load + axle.sits.more_load - axle.spring_rate * axle.sits.down
    sided, alike = (np.array([[one.front.springs], [one.rear.springs]]) for one in found)
    return replace(
        model,
        spring_load=load,
        spring_rate=np.array([[axle.spring_rate] for axle in numbers.axles]),
        hinge_step=np.zeros_like(model.hinge_step),
        roll_stiffness=model.roll_stiffness + sided - alike,
    )


def _free_of_stops(model: Model) -> Model:
    return replace(model, stop_rate=np.zeros_like(model.stop_rate))


def _firm_sideways(model: Model) -> Model:
    return replace(model, tyre_lateral_rate=np.full_like(model.tyre_lateral_rate, np.inf))
