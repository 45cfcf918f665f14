"""One effect at a time: how does lean per g follow one input, everything else as it is?"""

from dataclasses import dataclass, replace
from enum import Enum

import numpy as np

from rollsim import mass
from rollsim.equilibrium import Model, concatenate, settle
from rollsim.roll import TURN, straight_ahead
from rollsim.teaching.hand import find_state
from rollsim.vehicle import Job, Suspension

MORE = 0.10  # by which each input grows for `sensitivity`
SPAN = 30  # per cent by which an input is varied to either side
BAR_STEP = 5  # per cent
LEAST_BAR = 15e3  # N·m/rad; the range of the bar reaches this far where there is none


class Effect(Enum):
    """What is varied; the value is its name for the shop and after ISO 8855."""

    CG_HEIGHT = ("CG height", "height of the CG, whole vehicle")
    TRACK = ("track", "track")
    SPRING_BASE = ("spring base", "spring base, solid axle")
    SPRING_RATE = ("spring rate", "spring rate, one side")
    ROLL_CENTRE = ("roll centre", "roll-centre height")
    TYRE = ("tyre stiffness", "vertical rate of one tyre")
    BAR = ("anti-roll bar", "roll stiffness of the bar")


WHY = {
    Effect.CG_HEIGHT: "A higher CG has a longer arm over the roll axis: it counts twice, in the "
    "moment and in the weight that leans along.",
    Effect.TRACK: "Independent springs and all tyres count with the track squared.",
    Effect.SPRING_BASE: "The springs of a solid axle count with the distance between them "
    "squared, and not with the track.",
    Effect.SPRING_RATE: "Stiffer springs hold more lean, but they stand in series with the "
    "tyres and beside the bar: twice the rate is not half the lean.",
    Effect.ROLL_CENTRE: "A higher roll centre shortens the arm. The weight transfer does not go "
    "away: it takes the short way, through the roll centre (geometric).",
    Effect.TYRE: "The suspension stands on the tyres: soft ones give some lean away again.",
    Effect.BAR: "A bar works only against lean. The stiffer the axle already is, the less more of "
    "it does, and the more the other end of the vehicle decides.",
}


class Where(Enum):
    """On which axle; the value is its place in arrays, None for the whole vehicle."""

    FRONT = 0
    REAR = 1
    WHOLE = None


@dataclass(frozen=True, slots=True)
class Lever:
    """An effect and the place where it is varied."""

    effect: Effect
    where: Where

    @property
    def words(self) -> str:
        """In the words of the shop."""
        name = self.effect.value[0]
        return name if self.where is Where.WHOLE else f"{self.where.name.lower()} {name}"


@dataclass(frozen=True, slots=True)
class EffectCurve:
    """Lean per g along one input.

    `now` is the input as it is, `values` rise [m, N/m or N·m/rad] by steps of `percents`. Roll
    gradients [rad/(m/s²)] and front load-transfer shares [-] are at straight ahead, NaN where the
    vehicle does not stand.
    """

    lever: Lever
    now: float
    percents: tuple[int, ...]
    values: tuple[float, ...]
    roll_gradients: tuple[float, ...]
    front_shares: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What 10 % more of one input does.

    `now` is the input as it is [m, N/m or N·m/rad]. The changes are those of the roll gradient
    [rad/(m/s²)] and of the front load-transfer share [-], at straight ahead.
    """

    lever: Lever
    now: float
    gradient_change: float
    share_change: float


def levers(job: Job) -> tuple[Lever, ...]:
    """Everything that can be varied on a vehicle.

    CG height first, then front and rear of each effect. Only a solid axle has a spring base of its
    own.
    """
    axles = {Where.FRONT: job.vehicle.front, Where.REAR: job.vehicle.rear}
    found = [Lever(Effect.CG_HEIGHT, Where.WHOLE)]
    for effect in list(Effect)[1:]:
        found += [
            Lever(effect, where)
            for where, axle in axles.items()
            if effect is not Effect.SPRING_BASE or axle.suspension is Suspension.SOLID_AXLE
        ]
    return tuple(found)


def percents(job: Job, lever: Lever) -> tuple[int, ...]:
    """The steps in which one input is varied.

    Rising, 0 for the vehicle as it is: more or less of the input [%], 30 % to either side; a bar
    from none to twice as stiff. Where there is no bar, per cent of 15 kN·m/rad.
    """
    if lever.effect is not Effect.BAR:
        return tuple(range(-SPAN, SPAN + 1))
    return tuple(range(-100 if _bar(job, lever) else 0, 101, BAR_STEP))


def curve(job: Job, name: str, lever: Lever) -> EffectCurve:
    """Lean per g along one input, in one batch.

    The state's name is as for `hand.find_state`. Springs carry the same load as before, at their
    own height.
    """
    model = mass.model(job, find_state(job, name))
    now = _now(job, model, lever)
    steps = percents(job, lever)
    values = now + 0.01 * np.array(steps) * (now or LEAST_BAR)
    gradients, shares = _measured(varied(job, model, lever, values=values))
    return EffectCurve(
        lever,
        now,
        steps,
        *(tuple(float(x) for x in found) for found in (values, gradients, shares)),
    )


def sensitivity(job: Job, name: str) -> tuple[Sensitivity, ...]:
    """What 10 % more of each input does, in one batch.

    The state's name is as for `hand.find_state`. The strongest on lean per g comes first; what is
    zero is left out.
    """
    model = mass.model(job, find_state(job, name))
    found = [(lever, _now(job, model, lever)) for lever in levers(job)]
    found = [(lever, now) for lever, now in found if now]
    members = [model] + [
        varied(job, model, lever, values=np.array([(1.0 + MORE) * now])) for lever, now in found
    ]
    gradients, shares = _measured(concatenate(members))
    changes = [
        Sensitivity(lever, now, float(gradients[n] - gradients[0]), float(shares[n] - shares[0]))
        for n, (lever, now) in enumerate(found, start=1)
    ]
    return tuple(sorted(changes, key=lambda s: -abs(s.gradient_change)))


def _measured(model: Model) -> tuple[np.ndarray, np.ndarray]:
    """Roll gradient and front share of every member; NaN where it does not stand."""
    model, settled = settle(model, TURN)
    slopes = straight_ahead(model, settled)
    return (
        np.where(settled.converged, slopes.roll_gradient, np.nan),
        np.where(settled.converged, slopes.front_share, np.nan),
    )


def _now(job: Job, model: Model, lever: Lever) -> float:
    """The input as it is."""
    if lever.effect is Effect.CG_HEIGHT:
        return _whole_height(model)
    axle = lever.where.value
    if lever.effect is Effect.BAR:
        return _bar(job, lever)
    return float(getattr(model, _FIELDS[lever.effect])[axle, 0])


def _bar(job: Job, lever: Lever) -> float:
    """Roll stiffness of the bar on the lever's axle [N·m/rad]."""
    return (job.vehicle.front, job.vehicle.rear)[lever.where.value].bar_roll_stiffness


_FIELDS = {
    Effect.TRACK: "track",
    Effect.SPRING_BASE: "spring_base",
    Effect.SPRING_RATE: "spring_rate",
    Effect.ROLL_CENTRE: "roll_centre_height",
    Effect.TYRE: "tyre_rate",
}


def _whole_height(model: Model) -> float:
    """CG height of the whole vehicle before it settles [m]."""
    unsprung = (model.unsprung_mass * model.unsprung_cg_height).sum(axis=0)
    return float(((model.sprung_mass * model.cg_height + unsprung) / model.total_mass)[0])


def varied(job: Job, model: Model, lever: Lever, *, values: np.ndarray) -> Model:
    """One member for each value of the input."""
    many = model.take(np.zeros(values.size, dtype=int))
    if lever.effect is Effect.CG_HEIGHT:
        rise = (values - _whole_height(model)) * many.total_mass / many.sprung_mass
        return replace(many, cg_height=many.cg_height + rise)
    axle = lever.where.value

    def put(old: np.ndarray, new: np.ndarray) -> np.ndarray:
        changed = old.copy()
        changed[..., axle, :] = new
        return changed

    if lever.effect is Effect.BAR:
        more = values - _now(job, model, lever)
        return replace(
            many, roll_stiffness=put(many.roll_stiffness, many.roll_stiffness[axle] + more)
        )
    factor = values / _now(job, model, lever)
    name = _FIELDS[lever.effect]
    changed = {name: put(getattr(many, name), values)}
    if lever.effect is Effect.SPRING_RATE:
        changed["hinge_step"] = put(many.hinge_step, many.hinge_step[:, axle] * factor)
    elif lever.effect is Effect.TRACK and _independent(job, axle):
        changed["spring_base"] = put(many.spring_base, values)
        changed["stop_base"] = put(many.stop_base, many.stop_base[:, axle] * factor)
    return replace(many, **changed)


def _independent(job: Job, axle: int) -> bool:
    return (job.vehicle.front, job.vehicle.rear)[axle].suspension is Suspension.INDEPENDENT
