"""`rollsim weigh bounce`: rocked sideways and let go, the swings by eye or from a phone's log.

What an answer does not need is not imported: the parser of every command passes through here.
"""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rollsim.cli.weigh_reports import Answer
    from rollsim.units import Quantity


def bounce_parser(test: argparse.ArgumentParser) -> None:
    """Add the readings of a bounce test."""
    test.add_argument(
        "--run",
        nargs="+",
        action="append",
        metavar="LENGTH",
        default=[],
        help="its swings at the sill, from turning point to turning point, in order; repeat",
    )
    test.add_argument("--reading-error", metavar="LENGTH", help="of one swing; default 3 mm")
    test.add_argument(
        "--log",
        type=Path,
        action="append",
        metavar="LOG",
        default=[],
        help="a run as a log instead, with the columns of a road test; repeat",
    )


def bounce_answer(arguments: argparse.Namespace) -> "Answer":
    """The damping ratio in roll."""
    from rollsim.cli.weigh_reports import bounce_report
    from rollsim.measured import bounce
    from rollsim.measured.bounce import LOG_SHARE
    from rollsim.measured.branch import stated_reading_error
    from rollsim.scenario import ScenarioError

    if bool(arguments.run) == bool(arguments.log):
        raise ScenarioError(("weigh: --run, --log: give the runs by one of them",))
    try:
        if arguments.log:
            runs = [_logged(path) for path in arguments.log]
            # In parts of its first swing, so that one error holds for all.
            return bounce_report(
                bounce([[x / run[0] for x in run] for run in runs], reading_error=LOG_SHARE)
            )
        read = [_read(run) for run in arguments.run]
        stated = None if arguments.reading_error is None else _error(arguments.reading_error)
        error = stated_reading_error(stated, [one.tolerance for run in read for one in run])
        runs = [[one.value for one in run] for run in read]
        return bounce_report(bounce(runs, reading_error=error))
    except ScenarioError:
        raise
    except ValueError as wrong:
        raise ScenarioError((f"weigh: {wrong}",)) from None


def _read(run: list[str]) -> "list[Quantity]":
    from rollsim.cli.weigh_keys import SWING
    from rollsim.scenario import ScenarioError

    found, errors = [], []
    for text in run:
        try:
            found.append(SWING.read(text))
        except ValueError as wrong:
            errors.append(f"weigh: --run: {wrong}")
    if errors:
        raise ScenarioError(tuple(errors))
    return found


def _error(text: str) -> float:
    from rollsim.cli.weigh_keys import SWING_ERROR

    try:
        return SWING_ERROR.read(text).value
    except ValueError as wrong:
        raise ValueError(f"--reading-error: {wrong}") from None


def _logged(path: Path) -> tuple[float, ...]:
    from rollsim.measured import swings
    from rollsim.road_test import LogError, read_log
    from rollsim.scenario import ScenarioError

    try:
        log = read_log(path)
    except LogError as wrong:
        raise ScenarioError(wrong.errors) from None
    try:
        return swings(log.time, log.roll)
    except ValueError as wrong:
        raise ValueError(f"{path.name}: {wrong}") from None
