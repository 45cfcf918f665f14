"""How does the vehicle stand in a bend when one input is changed? What a picture needs of it."""

from dataclasses import replace

import numpy as np

from rollsim import mass
from rollsim.equilibrium import settle
from rollsim.roll import SECANT_AT, TURN, CurvePoint, follow
from rollsim.roll.points import curve_points
from rollsim.roll.swerve import Swerve, swerves
from rollsim.teaching import effects
from rollsim.teaching.effects import Effect, EffectCurve
from rollsim.teaching.hand import find_state
from rollsim.vehicle import Job, Suspension


def points(
    job: Job, name: str, curve: EffectCurve, *, now: int, at: int
) -> tuple[CurvePoint | None, CurvePoint | None]:
    """Two places of a curve in a left bend of 0.4 g: the vehicle now, and changed.

    `now` and `at` are places in `curve.values`; None where it tips before.
    """
    state = find_state(job, name)
    values = np.array([curve.values[now], curve.values[at]])
    model = effects.varied(job, mass.model(job, state), curve.lever, values=values)
    model, settled = settle(model, TURN)
    found = dict(zip((SECANT_AT,), follow(model, settled, (SECANT_AT,)), strict=True))
    raised, limit = np.full(2, mass.raised(job, state)), np.full(2, np.inf)
    drawn = curve_points(model, found, (SECANT_AT,), limit=limit, raised=raised)
    first, second = (next(iter(one), None) for one in drawn)
    return first, second


def swerve(job: Job, name: str, curve: EffectCurve, *, at: int) -> Swerve | None:
    """How much further it leans in a swerve at one place of a curve.

    Shock absorbers and roll inertia stay those of the vehicle: a rear track 30 % wider adds about
    5 % to the inertia. That it goes with the track's square holds from vehicle to vehicle.
    """
    state, values = find_state(job, name), np.array([curve.values[at]])
    model = effects.varied(job, mass.model(job, state), curve.lever, values=values)
    model, settled = settle(model, TURN)
    return swerves(job, [state], model, settled=settled)[0]


def changed(job: Job, name: str, curve: EffectCurve, *, at: int) -> Job:
    """The vehicle with its input at one place of a curve, for its dimensions in a picture.

    Springs and tyres stay as they are: the picture has them from the point.
    """
    v, lever, more = job.vehicle, curve.lever, curve.values[at] - curve.now
    if lever.effect is Effect.CG_HEIGHT:
        # So much on the scales moves what stands on the springs by the same moment.
        state = mass.model(job, find_state(job, name))
        weighed = v.front_axle_mass + v.rear_axle_mass
        rise = more * float(state.total_mass[0]) / weighed
        return replace(job, vehicle=replace(v, cg_height=v.cg_height + rise))
    which = ("front", "rear")[lever.where.value]
    axle = getattr(v, which)
    fields = _FIELDS.get(lever.effect, ())
    if lever.effect is Effect.TRACK and axle.suspension is Suspension.INDEPENDENT:
        fields = (*fields, "spring_base")
    new = replace(axle, **{field: getattr(axle, field) + more for field in fields})
    return replace(job, vehicle=replace(v, **{which: new}))


_FIELDS = {
    Effect.TRACK: ("track",),
    Effect.SPRING_BASE: ("spring_base",),
    Effect.ROLL_CENTRE: ("roll_centre_height",),
    Effect.BAR: ("bar_roll_stiffness",),
}
