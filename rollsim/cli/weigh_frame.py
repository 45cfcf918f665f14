"""`rollsim weigh frame-twist`: blocks under opposite corners, four scales, levels across the frame.

What an answer does not need is not imported: the parser of every command passes through here.
"""

import argparse
import math
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rollsim.cli.weigh_reports import Answer
    from rollsim.measured import TwistReading
    from rollsim.scenario import Scenario
    from rollsim.scenario.keys import Measured
    from rollsim.units import Quantity

WAYS = ("first", "second")
UNDER = ("diagonal", "rear")


def frame_parser(test: argparse.ArgumentParser) -> None:
    """Add the readings of a frame-twist test."""
    test.add_argument("scenario", type=Path, metavar="SCENARIO", help="the vehicle on the blocks")
    test.add_argument("--state", help="of the scenario, as it stood; default: as weighed")
    test.add_argument("--block", required=True, metavar="LENGTH", help="height of the blocks")
    test.add_argument(
        "--under",
        choices=UNDER,
        default=UNDER[0],
        help="two wheels diagonally, or one rear wheel alone",
    )
    wheels = ("front left and rear right", "front right and rear left")
    for way, raised in zip(WAYS, wheels, strict=True):
        test.add_argument(
            f"--{way}",
            nargs=4,
            required=True,
            metavar=("FL", "FR", "RL", "RR"),
            help=f"masses on the four wheels with blocks under {raised}",
        )
        test.add_argument(
            f"--{way}-levels",
            nargs="+",
            required=True,
            metavar="ANGLE",
            help="then: frame over the front axle, over the rear axle, and if read the cab's sill; "
            "right side down positive",
        )
    test.add_argument("--reading-error", metavar="ANGLE", help="of one level; default 0.1 deg")


def frame_answer(arguments: argparse.Namespace) -> "Answer":
    """Torsional stiffness of the frame, and the cab's share."""
    from rollsim.cli.weigh_keys import BLOCK, LEAN_ERROR
    from rollsim.cli.weigh_reports import frame_report
    from rollsim.measured import Blocks, frame_twist, twist_vehicle
    from rollsim.measured.branch import stated_reading_error
    from rollsim.measured.frame_twist import LEVEL_ERROR, SCALE_ERROR
    from rollsim.reader_units import METRIC, READER_UNITS, UnitSystem, in_units, said_in
    from rollsim.scenario import ScenarioError, load
    from rollsim.tolerance import SIGMAS

    errors: list[str] = []
    read = [_read(errors, arguments, way) for way in WAYS]
    block = _quantity(errors, "--block", arguments.block, BLOCK)
    stated = None
    if arguments.reading_error is not None:
        stated = _quantity(errors, "--reading-error", arguments.reading_error, LEAN_ERROR)
    scenario = load(arguments.scenario)
    state = _stood(errors, scenario, arguments.state)
    if errors:
        raise ScenarioError(tuple(f"weigh: {error}" for error in errors))
    level_error = stated_reading_error(
        None if stated is None else stated.value,
        [one.tolerance for _, levels in read for one in levels],
    )
    mass_error = stated_reading_error(None, [one.tolerance for masses, _ in read for one in masses])
    level_error, mass_error = level_error or LEVEL_ERROR, mass_error or SCALE_ERROR
    units = METRIC if arguments.json else READER_UNITS[UnitSystem(arguments.units)]
    try:
        found = frame_twist(
            *(_reading(*way) for way in read),
            twist_vehicle(scenario.job, state),
            block=block.value,
            blocks=dict(zip(UNDER, Blocks, strict=True))[arguments.under],
            mass_error=mass_error,
            level_error=level_error,
        )
    except ValueError as wrong:
        raise ScenarioError((f"weigh: {in_units(str(wrong), units)}",)) from None
    mass_words, _ = said_in(units)
    read_to = (
        f"levels count as good to {math.degrees(SIGMAS * level_error):.2g} deg, scales to "
        f"{mass_words(SIGMAS * mass_error)} (90 %)"
    )
    return frame_report(found, units, read_to=read_to)


def _read(
    errors: list[str], arguments: argparse.Namespace, way: str
) -> tuple[list["Quantity"], list["Quantity"]]:
    """Masses and levels of one way."""
    from rollsim.cli.weigh_keys import CORNERS, LEAN

    levels = getattr(arguments, f"{way}_levels")
    if not 2 <= len(levels) <= 3:
        errors.append(
            f"--{way}-levels: found {len(levels)}; give two, front and rear, or three with the "
            "cab's sill"
        )
    masses = zip(getattr(arguments, way), CORNERS, strict=True)
    return (
        [_quantity(errors, f"--{way}", text, key) for text, key in masses],
        [_quantity(errors, f"--{way}-levels", text, LEAN) for text in levels],
    )


def _quantity(errors: list[str], option: str, text: str, key: "Measured") -> "Quantity":
    from rollsim.units import Quantity

    try:
        return key.read(text)
    except ValueError as wrong:
        errors.append(f"{option}: {wrong}")
        return Quantity(1.0)


def _stood(errors: list[str], scenario: "Scenario", name: str | None):
    """The state that it stood in; that as weighed where there is none of that name."""
    from rollsim import mass

    states = {state.name: state for state in mass.states(scenario.job)}
    if name is not None and name not in states:
        errors.append(f"--state: found {name!r}; allowed {', '.join(states)}")
    return states.get(name or mass.AS_WEIGHED, states[mass.AS_WEIGHED])


def _reading(masses: list["Quantity"], levels: list["Quantity"]) -> "TwistReading":
    from rollsim.measured import TwistReading
    from rollsim.weighing import CornerMasses

    return TwistReading(CornerMasses(*(x.value for x in masses)), *(x.value for x in levels))
