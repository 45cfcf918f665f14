"""A scenario held against a drive: the rule before it, prediction, measurement, calibration."""

import math
from dataclasses import dataclass

import numpy as np

from rollsim import mass, sizing
from rollsim.mass import FittedBar, State
from rollsim.measured import Calibration, Replaced, Unknown, calibrate
from rollsim.measured.other_inputs import CG_HEIGHT, with_other_inputs
from rollsim.road_test import Log, RoadTest, analyse
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

    Parameters
    ----------
    state : str
        That was driven.
    bar : Candidate or None
        The bar that was on; None: the vehicle as the scenario has it.
    allowance : Allowance
        How far the drive may go [m/s²].
    test : RoadTest or None
        What the log says; None before the drive.
    predicted : Predicted or None
        Over the range of the log; None where it was refused [rad/(m/s²)].
    """

    state: str
    bar: Candidate | None
    allowance: Allowance
    test: RoadTest | None
    predicted: Predicted | None


@dataclass(frozen=True, slots=True, eq=False)
class Corrected:
    """A scenario put right by a drive.

    Parameters
    ----------
    calibration : Calibration
        What was moved and how far.
    text : str
        The new scenario, TOML.
    scenario : Scenario
        The same, read and checked.
    before, sizing : Sizing or None
        The rear bar sized as stated and again; None where the scenario has none to size.
    hole : Candidate or None
        The hole of the bar that was driven which now comes nearest to the target; None where
        none was on.
    agreed : bool
        Prediction and drive agreed within their bands before.
    far : bool
        The CG height is further from the stated one than both bands allow.
    replaced : tuple of Replaced
        What of the scenario goes out of force.
    """

    calibration: Calibration
    text: str
    scenario: Scenario
    before: Sizing | None
    sizing: Sizing | None
    hole: Candidate | None
    agreed: bool
    far: bool
    replaced: tuple[Replaced, ...] = ()

    @property
    def is_doubtful(self) -> bool:
        """Nothing is to be ordered by it before something else was checked."""
        return self.far or (self.calibration.below_zero and not self.agreed)


def agrees(found: RoadAnswer) -> bool:
    """Whether the bands of a measured and the predicted gradient [rad/(m/s²)] meet."""
    gradient, expected = found.test.line.gradient, found.predicted
    low, high = gradient.interval
    if math.isfinite(expected.low):
        return low <= expected.high and high >= expected.low
    return low <= expected.gradient <= high


def find_state(scenario: Scenario, name: str) -> State:
    """The state of a scenario that goes by a name.

    Parameters
    ----------
    scenario : Scenario
        As read.
    name : str
        Of the state.

    Returns
    -------
    State
        One of `mass.states`.

    Raises
    ------
    ValueError
        If there is none, with the names there are.
    """
    found = {state.name: state for state in mass.states(scenario.job)}
    if name not in found:
        raise ValueError(f'found "{name}"; allowed {", ".join(found)}')
    return found[name]


def find_bar(scenario: Scenario, section: str, lever: float) -> Candidate:
    """A bar out of the scenario's stock.

    Parameters
    ----------
    scenario : Scenario
        With a [rear_bar].
    section : str
        As the file writes it.
    lever : float
        Of the hole [m].

    Returns
    -------
    Candidate
        As `rollsim size` lists it.

    Raises
    ------
    ValueError
        If it is not in the stock.
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
    scenario: Scenario, log: Log | None, state: str, bar: Candidate | None = None
) -> RoadAnswer:
    """Hold a drive against the prediction.

    Parameters
    ----------
    scenario : Scenario
        As read.
    log : Log or None
        As read [SI]; None before the drive: the rule alone.
    state : str
        That was driven.
    bar : Candidate or None
        From `find_bar`: the bar that was on.

    Returns
    -------
    RoadAnswer
        [m/s², rad/(m/s²)]

    Raises
    ------
    ValueError
        If there is no such state.
    """
    driven, on = find_state(scenario, state), _fitted(scenario, bar)
    rule = allowance(scenario.job, scenario.tolerances, driven, bar=on)
    if log is None:
        return RoadAnswer(state, bar, rule, None, None)
    test = analyse(log)
    expected = None
    if test.refused is None:
        expected = predicted(scenario.job, scenario.tolerances, driven, ends=test.range, bar=on)
    return RoadAnswer(state, bar, rule, test, expected)


def lines(found: RoadAnswer) -> tuple[tuple[str, np.ndarray, np.ndarray], ...]:
    """The measured and the predicted line over the range of the drive.

    Parameters
    ----------
    found : RoadAnswer
        With a measured gradient [rad/(m/s²)].

    Returns
    -------
    tuple of (str, (2,) array, (2,) array)
        Name, lateral acceleration [m/s²] and roll [rad] of its ends, left and right bends apart;
        the predicted one with the friction and the offset of the measured one, which no
        prediction knows.
    """
    line, ends = found.test.line, np.array(found.test.range)
    slopes = {"measured": line.gradient.value, "predicted": found.predicted.gradient}
    return tuple(
        (name, side * ends, line.offset + side * (line.friction.value + slope * ends))
        for name, slope in slopes.items()
        if math.isfinite(slope)
        for side in (1.0, -1.0)
    )


def correct(
    text: str, scenario: Scenario, found: RoadAnswer, unknown: Unknown, *, folder: Beside
) -> Corrected:
    """Put one unknown right by a drive, and size the bar again.

    Parameters
    ----------
    text : str
        The scenario, TOML.
    scenario : Scenario
        The same, read.
    found : RoadAnswer
        With a measured gradient [rad/(m/s²)].
    unknown : Unknown
        What is taken to be wrong.
    folder : Path, mapping or None
        Where the CSV of a measured spring may stand, or the CSV files by name.

    Returns
    -------
    Corrected
        The new scenario, checked, and its bar.

    Raises
    ------
    ValueError
        If there is nothing to go by, no value of the unknown agrees, or the new scenario has
        errors.
    """
    if found.test is None or found.test.line is None:
        raise ValueError("the log gives no figure to calibrate by")
    if not math.isfinite(found.predicted.gradient):
        raise ValueError("the vehicle as stated tips within the range of the log")
    state, bar = find_state(scenario, found.state), _fitted(scenario, found.bar)
    measured, predict = found.test.line.gradient, driven_gradient(state, found.test.range, bar)
    calibration = calibrate(scenario.job, unknown, measured, predict=predict)
    if unknown is Unknown.CG_HEIGHT:
        calibration = with_other_inputs(calibration, measured, scenario.tolerances, predict=predict)
    new = changed(text, correction(text, scenario, calibration))
    read = loads(new, scenario.path, folder)
    before, after = (
        None if one.rear_bar is None else sizing.size(one.job, one.rear_bar)
        for one in (scenario, read)
    )
    return Corrected(
        calibration=calibration,
        text=new,
        scenario=read,
        before=before,
        sizing=after,
        hole=_hole(after, found.bar),
        agreed=agrees(found),
        far=_is_far(calibration, scenario),
        replaced=tuple(replaced_by(text, unknown)),
    )


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
    same = [one for one in resized.candidates if one.section == bar.section]
    return min(same, key=lambda one: abs(one.roll_gradient / resized.target - 1.0), default=None)
