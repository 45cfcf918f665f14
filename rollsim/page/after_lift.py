"""What a lift asks for: what to check after it, and where local codes take over."""

from rollsim import mass
from rollsim.mass import State
from rollsim.reader_units import ReaderUnits, figure
from rollsim.vehicle import Axle, Job

AFTER_LIFT = (
    "Brake hoses: long enough at full droop, wheels on full lock.",
    "Load-sensing brake valve: its rod set to the new height.",
    "Driveline angles: universal joints and drive shafts, at full droop too.",
    "Headlamps: aim them again.",
    "Stability control: nobody calibrated it for this height; ask who may.",
    "Wheel alignment: caster and camber moved with the height.",
)
HIGHEST = 0.050  # m
TRAVEL_SHARE = 1.0 / 3.0
SMALLEST = 0.0005  # m


def lifts(job: Job, state: State) -> tuple[float, float]:
    """Lift of the springs, front and rear, that is on the vehicle in a state [m]."""
    if not state.changed:
        return 0.0, 0.0
    return job.change.suspension_lift_front, job.change.suspension_lift_rear


def lifted(job: Job, state: State) -> bool:
    """Whether the suspension stands higher, or lower, than it was built."""
    return max(abs(lift) for lift in lifts(job, state)) >= SMALLEST


def code_words(job: Job, state: State, units: ReaderUnits) -> tuple[str, ...]:
    """Where a lift is beyond what codes commonly let pass without a certificate, a line an axle.

    The 50 mm and the third of the travel are those of published vehicle standards; others differ.
    """
    found = []
    axles = (job.vehicle.front, job.vehicle.rear)
    for name, axle, lift in zip(("front", "rear"), axles, lifts(job, state), strict=True):
        reasons = []
        if abs(lift) > HIGHEST:
            reasons.append(f"over {figure(HIGHEST, units.length)} {units.length}")
        travel = _travel(axle)
        if travel and abs(lift) > TRAVEL_SHARE * travel:
            reasons.append("over a third of the travel from stop to stop")
        if reasons:
            found.append(
                f"{name.capitalize()}: a lift of {figure(lift, units.length)} {units.length} is "
                f"{' and '.join(reasons)}. Codes commonly ask for an approved person's certificate "
                "there: local codes decide."
            )
    return tuple(found)


def _travel(axle: Axle) -> float | None:
    if axle.bump_stop is None or axle.rebound_limit is None:
        return None
    return sum(stop.gap / stop.motion_ratio for stop in (axle.bump_stop, axle.rebound_limit))


def state_of(job: Job, name: str) -> State:
    """The state of that name."""
    return next(state for state in mass.states(job) if state.name == name)
