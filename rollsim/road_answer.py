"""A scenario held against a drive: the rule before it, prediction, measurement, calibration."""

import math
from dataclasses import dataclass

import numpy as np

from rollsim import mass, sizing
from rollsim.mass import FittedBar, State
from rollsim.measured import Calibration, Replaced, Unknown, at_the_nearer_end, calibrate
from rollsim.measured.other_inputs import CG_HEIGHT, with_other_inputs
from rollsim.road_test import Log, RoadTest, Sensor, Stated, analyse
from rollsim.road_test.drive_rule import Allowance, allowance
from rollsim.road_test.prediction import Predicted, driven_gradient, predicted
from rollsim.scenario import Scenario, loads
from rollsim.scenario.correcting import correction, replaced_by
from rollsim.scenario.editing import changed
from rollsim.scenario.table import Beside
from rollsim.sizing import Candidate, Sizing
from rollsim.sizing.choice import fitted

SAME_LEVER = 0.0005  # m


@dataclass(frozen=True, slots=True, eq=False)
class RoadAnswer:
    """A drive beside what was predicted of it.

    `bar` is the one that was on, None for the vehicle as the scenario has it; `allowance` is how
    far the drive may go [m/s²]. `test` is None before the drive; `predicted` goes over the range of
    the log and is None where that was refused. `by_inputs` is the same without the lean test that
    the file has in force, None where it has none. `sensor` is whose lean both are.
    """

    state: str
    bar: Candidate | None
    allowance: Allowance
    test: RoadTest | None
    predicted: Predicted | None
    by_inputs: Predicted | None = None
    sensor: Sensor = Sensor.CAB


@dataclass(frozen=True, slots=True, eq=False)
class Corrected:
    """A scenario put right by a drive.

    `text` is the new scenario (TOML), `scenario` the same read and checked. `before` and `sizing`
    are the rear bar sized as stated and again, None where there is none to size. `hole` is that of
    the bar that was driven which now comes nearest to the target, None where none was on. `vaguer`:
    the drive agrees with the prediction and knows less than its inputs. `far`: the CG height is
    further from the stated one than both bands allow. `replaced` is what of the scenario goes out
    of force. `stands`: somewhere in the interval the bar sized before is still the choice.
    """

    calibration: Calibration
    text: str
    scenario: Scenario
    before: Sizing | None
    sizing: Sizing | None
    hole: Candidate | None
    vaguer: bool
    far: bool
    replaced: tuple[Replaced, ...] = ()
    stands: bool = False

    @property
    def is_doubtful(self) -> bool:
        """Nothing is to be ordered by it before something else was checked."""
        return self.far or self.calibration.below_zero

    @property
    def is_put_in(self) -> bool:
        """It may take the place of the scenario, which orders no other bar by it unproven."""
        return not self.stands or same_bar(self.before.choice, self.sizing.choice)


def agrees(found: RoadAnswer) -> bool:
    """Whether the bands of a measured and the predicted gradient [rad/(m/s²)] meet."""
    expected, (low, high) = found.predicted, found.test.interval
    if math.isfinite(expected.low):
        return low <= expected.high and high >= expected.low
    return low <= expected.gradient <= high


def _is_vaguer(found: RoadAnswer) -> bool:
    """The drive agrees with the inputs, and its interval is wider than their band."""
    expected, (low, high) = found.predicted, found.test.interval
    return agrees(found) and high - low > expected.high - expected.low


def find_state(scenario: Scenario, name: str) -> State:
    """The state of a scenario that goes by a name.

    Raises ValueError with the names there are where it is none of `mass.states`.
    """
    found = {state.name: state for state in mass.states(scenario.job)}
    if name not in found:
        raise ValueError(f'found "{name}"; allowed {", ".join(found)}')
    return found[name]


def find_bar(scenario: Scenario, section: str, lever: float) -> Candidate:
    """A bar out of the scenario's stock, as `rollsim size` lists it.

    `section` is as the file writes it, `lever` that of the hole [m]. Raises ValueError where the
    scenario has no [rear_bar] or the bar is not in its stock.
    """
    if scenario.rear_bar is None:
        raise ValueError("the scenario has no [rear_bar], so no bar can be named")
    found = sizing.size(scenario.job, scenario.rear_bar).candidates
    for one in found:
        if one.section.label == section and abs(one.lever - lever) < SAME_LEVER:
            return one
    sections = dict.fromkeys(one.section.label for one in found)
    raise ValueError(f"no such section and hole; sections are {', '.join(sections)}")


def answer(
    scenario: Scenario,
    log: Log | None,
    state: str,
    bar: Candidate | None = None,
    *,
    stated: Stated | None = None,
    untested: Scenario | None = None,
) -> RoadAnswer:
    """Hold a drive against the prediction.

    Without a log, before the drive, only the rule how far it may go. `bar`, from `find_bar`, is the
    one that was on, `stated` what is known of the drive beside its log, `untested` the scenario
    from `without_lean_test`. Raises ValueError where there is no such state.
    """
    driven, on = find_state(scenario, state), _fitted(scenario, bar)
    rule = allowance(scenario.job, scenario.tolerances, driven, bar=on)
    if log is None:
        return RoadAnswer(state, bar, rule, None, None)
    test, sensor = analyse(log, stated), (stated or Stated()).sensor
    rest, expected, by_inputs = {"ends": test.range, "bar": on, "sensor": sensor}, None, None
    if test.refused is None:
        expected = predicted(scenario.job, scenario.tolerances, driven, **rest)
    if test.refused is None and untested is not None:
        job, known = untested.job, untested.tolerances
        by_inputs = predicted(job, known, find_state(untested, state), **rest)
    return RoadAnswer(state, bar, rule, test, expected, by_inputs, sensor)


def without_lean_test(text: str, path: str, folder: Beside) -> Scenario | None:
    """The scenario of a text (TOML) as if its lean test were not in force; None where none is."""
    if Replaced.LEAN_TEST not in replaced_by(text, Unknown.CG_HEIGHT) + replaced_by(
        text, Unknown.TOTAL_ROLL_STIFFNESS
    ):
        return None
    return loads(changed(text, {"lean_test.applied": True}), path, folder)


def slopes(found: RoadAnswer) -> dict[str, tuple[float, float, float]]:
    """Lean per g of drive, bay and inputs, each with both ends of its band [rad/(m/s²)].

    The drive must have a measured gradient; NaN ends where no input has a tolerance.
    """
    gradient, expected = found.test.line.gradient, found.predicted
    ends = {"measured": (gradient.value, *found.test.interval)}
    last = {"predicted": expected}
    if found.by_inputs is not None:
        last = {
            "predicted with the lean test": expected,
            "predicted by the inputs": found.by_inputs,
        }
    return ends | {name: (one.gradient, one.low, one.high) for name, one in last.items()}


def lines(found: RoadAnswer) -> tuple[tuple[str, np.ndarray, np.ndarray], ...]:
    """The measured and the predicted line over the range of the drive, left and right bends apart.

    Each is its name, lateral acceleration [m/s²] and roll [rad], both of shape (2,), of its ends.
    The predicted one has the friction and the offset of the measured one, which no prediction
    knows. The drive must have a measured gradient.
    """
    line, ends = found.test.line, np.array(found.test.range)
    return tuple(
        (name, side * ends, line.offset + side * (line.friction.value + slope * ends))
        for name, (slope, _, _) in slopes(found).items()
        if math.isfinite(slope)
        for side in (1.0, -1.0)
    )


def correct(
    text: str, scenario: Scenario, found: RoadAnswer, unknown: Unknown, *, folder: Beside
) -> Corrected:
    """Put one unknown right by a drive, and size the bar again.

    `text` is the scenario (TOML) that `scenario` was read from, `folder` as in
    `rollsim.scenario.loads`; the drive must have a measured gradient. Raises ValueError where there
    is nothing to go by, no value of the unknown agrees, or the new scenario has errors.
    """
    if found.test is None or found.test.line is None:
        raise ValueError("the log gives no figure to calibrate by")
    if found.test.wide:
        raise ValueError(f"the interval of the drive is too wide: {found.test.wide}")
    if not math.isfinite(found.predicted.gradient):
        raise ValueError("the vehicle as stated tips within the range of the log")
    state, bar = find_state(scenario, found.state), _fitted(scenario, found.bar)
    measured = found.test.line.gradient
    predict = driven_gradient(state, found.test.range, bar, found.sensor)
    calibration = calibrate(scenario.job, unknown, measured, predict=predict)
    if unknown is Unknown.CG_HEIGHT:
        calibration = with_other_inputs(calibration, measured, scenario.tolerances, predict=predict)
    new = changed(text, correction(text, scenario, calibration))
    read = loads(new, scenario.path, folder)
    before, after = (
        None if one.rear_bar is None else sizing.size(one.job, one.rear_bar)
        for one in (scenario, read)
    )
    stands = before is not None and _stands(text, scenario, calibration, before, after, folder)
    return Corrected(
        calibration=calibration,
        text=new,
        scenario=read,
        before=before,
        sizing=after,
        hole=_hole(after, found.bar),
        vaguer=_is_vaguer(found),
        far=_is_far(calibration, scenario),
        replaced=tuple(replaced_by(text, unknown)),
        stands=stands,
    )


def _stands(
    text: str,
    scenario: Scenario,
    found: Calibration,
    before: Sizing,
    after: Sizing,
    folder: Beside,
) -> bool:
    """Somewhere in the interval of the correction the bar sized before is still the choice."""
    if before.choice is None:
        return False
    if not found.is_proven or same_bar(before.choice, after.choice):
        return True
    least = at_the_nearer_end(found, scenario.job)
    read = loads(changed(text, correction(text, scenario, least)), scenario.path, folder)
    return same_bar(before.choice, sizing.size(read.job, read.rear_bar).choice)


def same_bar(one: Candidate, other: Candidate | None) -> bool:
    """Whether two candidates are the same piece of steel in the same hole."""
    return other is not None and _piece(one) == _piece(other)


def _piece(bar: Candidate) -> tuple:
    # The place of a hole may move: what of a shelf fits depends on the vehicle.
    return bar.section, bar.lever, bar.steel, bar.part and bar.part.part


def _is_far(found: Calibration, scenario: Scenario) -> bool:
    """A measured CG height that a drive moves by more than both bands: something else is wrong."""
    if found.unknown is not Unknown.CG_HEIGHT:
        return False
    known = (one.tolerance for one in scenario.tolerances if one.key == CG_HEIGHT)
    return abs(found.value.value - found.stated) > found.value.tolerance + next(known, math.inf)


def _fitted(scenario: Scenario, bar: Candidate | None) -> FittedBar | None:
    return None if bar is None else fitted(bar, scenario.rear_bar)


def _hole(resized: Sizing | None, bar: Candidate | None) -> Candidate | None:
    """Of the same section, the hole that comes nearest to the target."""
    if resized is None or bar is None:
        return None
    same = [one for one in resized.candidates if _piece(one)[::3] == _piece(bar)[::3]]
    return min(same, key=lambda one: abs(one.roll_gradient / resized.target - 1.0), default=None)
