"""`rollsim road-test`: a log held against the prediction, and a scenario put right by it.

What an answer does not need is not imported: the parser of every command passes through here.
"""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rollsim.road_answer import Corrected
    from rollsim.road_test import Choice, Log, Role
    from rollsim.scenario import Scenario
    from rollsim.sizing import Candidate

UNKNOWNS = ("total", "front", "rear", "cg-height")
_COLUMNS = ("time", "lateral", "roll-rate", "roll-angle", "yaw-rate", "speed")


def add_road_test(commands: argparse._SubParsersAction) -> None:
    """Add `road-test` to the command.

    Parameters
    ----------
    commands : argparse subparsers
        Of `rollsim`.
    """
    about = "a drive against the prediction"
    test = commands.add_parser(
        "road-test",
        help=about,
        description="A log of steady bends against the prediction. Without LOG: how far the test "
        "drive may go. Columns are guessed and the guess is shown; name those that are wrong.",
    )
    test.add_argument("scenario", type=Path, metavar="SCENARIO", help="scenario file (TOML)")
    test.add_argument("log", type=Path, nargs="?", metavar="LOG", help="log of the drive (CSV)")
    test.add_argument("--state", default="as_weighed", help="that was driven; default as_weighed")
    test.add_argument(
        "--with-bar",
        nargs=2,
        metavar=("SECTION", "HOLE"),
        help='bar of [rear_bar] that was on, such as "24 mm solid" "290 mm"',
    )
    for name in _COLUMNS:
        words = name.replace("-", " ")
        test.add_argument(
            f"--{name}", nargs=2, metavar=("COLUMN", "UNIT"), help=f"column of the {words}"
        )
    test.add_argument(
        "--flip",
        action="append",
        choices=("lateral", "roll"),
        default=[],
        help="column that is reversed in sign; repeat",
    )
    test.add_argument("--calibrate", choices=UNKNOWNS, help="what the drive puts right")
    test.add_argument("-o", "--output", type=Path, metavar="NEW", help="calibrated scenario, new")
    test.add_argument("--json", action="store_true", help="JSON instead of text")
    test.add_argument("--units", choices=("metric", "imperial"), default="metric", help="of text")
    test.set_defaults(answer=_road_test)


def _road_test(arguments: argparse.Namespace) -> str:
    from rollsim.cli.road_reports import road_record, road_report
    from rollsim.reader_units import READER_UNITS, UnitSystem
    from rollsim.road_answer import answer
    from rollsim.scenario import load

    _check_options(arguments)
    scenario = load(arguments.scenario)
    log = _read(arguments)
    bar = _bar(arguments, scenario)
    try:
        found = answer(scenario, log, arguments.state, bar)
    except ValueError as wrong:
        raise _refused(f"{scenario.path}: --state: {wrong}") from None
    corrected = None
    if arguments.calibrate and found.test.refused is None:
        corrected = _correct(arguments, scenario, found)
    columns = () if log is None else log.columns
    written = arguments.output if corrected else None
    if arguments.json:
        from rollsim.cli.records import dumps

        return dumps(road_record(scenario, found, columns, corrected=corrected, written=written))
    units = READER_UNITS[UnitSystem(arguments.units)]
    return road_report(scenario, found, columns, corrected=corrected, written=written, units=units)


def _refused(*errors: str) -> ValueError:
    from rollsim.scenario import ScenarioError

    return ScenarioError(errors)


def _check_options(arguments: argparse.Namespace) -> None:
    """Options that only go together, all told at once."""
    wrong = []
    if arguments.calibrate and arguments.log is None:
        wrong.append("--calibrate: needs LOG; give the log of the drive")
    if arguments.output and not arguments.calibrate:
        wrong.append(f"-o: needs --calibrate; allowed {', '.join(UNKNOWNS)}")
    if arguments.output and arguments.output.exists():
        wrong.append(f"{arguments.output.name}: -o: exists already; name a new file")
    if wrong:
        raise _refused(*(f"road-test: {line}" for line in wrong))


def _choices(arguments: argparse.Namespace) -> "dict[Role, Choice]":
    from rollsim.road_test import Choice, Role

    given = {name.replace("-", "_"): None for name in _COLUMNS}
    given = {name: getattr(arguments, name) for name in given}
    return {Role(name): Choice(*pair) for name, pair in given.items() if pair}


def _read(arguments: argparse.Namespace) -> "Log | None":
    from rollsim.road_test import LogError, read_log, turn_round

    if arguments.log is None:
        return None
    try:
        log = read_log(arguments.log, _choices(arguments))
    except LogError as wrong:
        raise _refused(*wrong.errors) from None
    return turn_round(log, lateral="lateral" in arguments.flip, roll="roll" in arguments.flip)


def _bar(arguments: argparse.Namespace, scenario: "Scenario") -> "Candidate | None":
    from rollsim.bar.sections import parse_section
    from rollsim.road_answer import find_bar
    from rollsim.units import Dimension, parse

    if arguments.with_bar is None:
        return None
    section, hole = arguments.with_bar
    try:
        label = parse_section(section).label
        return find_bar(scenario, label, parse(hole, Dimension.LENGTH).value)
    except ValueError as wrong:
        raise _refused(f"{scenario.path}: --with-bar: {wrong}") from None


def _correct(arguments: argparse.Namespace, scenario: "Scenario", found: object) -> "Corrected":
    from rollsim.measured import Unknown
    from rollsim.road_answer import correct
    from rollsim.scenario import ScenarioError

    unknown = dict(zip(UNKNOWNS, Unknown, strict=True))[arguments.calibrate]
    text = arguments.scenario.read_text(encoding="utf-8")
    try:
        made = correct(text, scenario, found, unknown, folder=arguments.scenario.parent)
        if arguments.output is not None:
            arguments.output.write_text(made.text, encoding="utf-8")
    except ScenarioError:
        raise
    except ValueError as wrong:
        raise _refused(f"{scenario.path}: --calibrate: {wrong}") from None
    except OSError as error:
        where = arguments.output.name
        raise _refused(f"{where}: -o: cannot be written ({error.strerror})") from None
    return made
