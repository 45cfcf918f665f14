"""`rollsim road-test`: a log held against the prediction, and a scenario put right by it.

What an answer does not need is not imported: the parser of every command passes through here.
"""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from rollsim.cli.jobs import RECORD_HELP, shop_words
from rollsim.cli.plotting import add_plot, check_plot

if TYPE_CHECKING:
    from rollsim.road_answer import Corrected, RoadAnswer
    from rollsim.road_test import Choice, Log, Role, Stated
    from rollsim.scenario import Opened, Scenario
    from rollsim.sizing import Candidate

UNKNOWNS = ("total", "front", "rear", "cg-height")
COLUMNS = {
    "time": ("time", "s, ms, us, ns, clock"),
    "lateral": ("lateral acceleration", "g, m/s2"),
    "roll-rate": ("roll rate", "deg/s, rad/s"),
    "roll-angle": ("roll angle", "deg, rad"),
    "yaw-rate": ("yaw rate", "deg/s, rad/s"),
    "pitch-rate": ("pitch rate", "deg/s, rad/s"),
    "longitudinal": ("longitudinal acceleration", "g, m/s2"),
    "vertical": ("vertical acceleration", "g, m/s2"),
    "speed": ("speed", "m/s, km/h, mph, kn"),
    "east": ("position east, or longitude", "deg, m"),
    "north": ("position north, or latitude", "deg, m"),
}
"""Options that name a column: what it holds, and its units."""


def add_road_test(commands: argparse._SubParsersAction) -> None:
    """Add `road-test` to the command."""
    about = "a drive against the prediction"
    test = commands.add_parser(
        "road-test",
        help=about,
        description="A log of steady bends against the prediction. Without LOG: how far the test "
        "drive may go. Columns are guessed and the guess is shown; name those that are wrong.",
    )
    test.add_argument(
        "scenario", type=Path, metavar="SCENARIO", help="scenario file (TOML), or a job sheet"
    )
    test.add_argument(
        "log",
        type=Path,
        nargs="?",
        metavar="LOG",
        help="log of the drive (CSV); - is standard input",
    )
    test.add_argument("--state", default="as_weighed", help="that was driven; default as_weighed")
    test.add_argument(
        "--with-bar",
        nargs=2,
        metavar=("SECTION", "HOLE"),
        help='bar of [rear_bar] that was on, such as "24 mm solid" "290 mm"',
    )
    for name, (words, units) in COLUMNS.items():
        test.add_argument(
            f"--{name}",
            nargs=2,
            metavar=("COLUMN", "UNIT"),
            help=f"column of the {words}, and its unit: {units}",
        )
    test.add_argument(
        "--flip",
        action="append",
        choices=("lateral", "roll"),
        default=[],
        help="column that is reversed in sign; repeat",
    )
    test.add_argument(
        "--mount",
        metavar="AXES",
        help='how the sensor sits, such as "y forward, z up"; found where it is not given',
    )
    test.add_argument(
        "--level",
        metavar="ANGLE",
        help='how far bends of different places may bank at 0.3 g; default "1.5 deg", public '
        'bends; "0.3 deg" where each was checked with a level',
    )
    test.add_argument(
        "--one-place", action="store_true", help="all bends are one bend, whatever their radii"
    )
    test.add_argument(
        "--gyro-scale",
        metavar="SHARE",
        help="how true the gyros' scale is, one standard deviation; default 0.02",
    )
    test.add_argument(
        "--angle-by", metavar="NAME", default="", help="inertial unit that made the roll angle"
    )
    test.add_argument(
        "--sensor",
        choices=("cab", "tray"),
        default="cab",
        help="where it sat: a frame that twists lets the tray lean more; default cab",
    )
    test.add_argument("--calibrate", choices=UNKNOWNS, help="what the drive puts right")
    test.add_argument("-o", "--output", type=Path, metavar="NEW", help="calibrated scenario, new")
    add_plot(test, "readings, measured and predicted line")
    test.add_argument("--record", type=Path, metavar="FOLDER", help=RECORD_HELP)
    test.add_argument("--json", action="store_true", help="JSON instead of text")
    test.add_argument("--units", choices=("metric", "imperial"), default="metric", help="of text")
    test.set_defaults(answer=_road_test)


def _road_test(arguments: argparse.Namespace) -> str:
    from rollsim.cli.plotting import plot_road_test
    from rollsim.cli.road_reports import road_record, road_report
    from rollsim.reader_units import READER_UNITS, UnitSystem
    from rollsim.road_answer import answer, without_lean_test
    from rollsim.scenario import opened

    _check_options(arguments)
    held = opened(arguments.scenario)
    scenario = held.read()
    log, stated = _read(arguments), _stated(arguments)
    bar = _bar(arguments, scenario)
    try:
        untested = without_lean_test(held.text, scenario.path, held.beside)
        found = answer(scenario, log, arguments.state, bar, stated=stated, untested=untested)
    except ValueError as wrong:
        raise _refused(f"{scenario.path}: --state: {wrong}") from None
    drawn, corrected = (), None
    if arguments.plot and found.test.refused is None:
        drawn = plot_road_test(arguments.plot, scenario, found)
    elif arguments.plot:
        found = _noted(found, "no picture was written: the log gives no figure")
    if arguments.calibrate:
        found, corrected = _corrected_or_told(arguments, held, scenario, found=found)
    columns = () if log is None else log.columns
    rest = {
        "mounting": None if log is None else log.mounting,
        "corrected": corrected,
        "written": arguments.output if corrected and corrected.is_put_in else None,
        "shop": shop_words(arguments.record),
    }
    if arguments.json:
        from rollsim.cli.records import dumps

        return dumps(road_record(scenario, found, columns, **rest))
    units = READER_UNITS[UnitSystem(arguments.units)]
    report = road_report(scenario, found, columns, **rest, units=units)
    return "\n\n".join((report, *drawn))


def _corrected_or_told(
    arguments: argparse.Namespace, held: "Opened", scenario: "Scenario", *, found: "RoadAnswer"
) -> "tuple[RoadAnswer, Corrected | None]":
    """Calibrate; where the log gives no figure, or a wide one, say that nothing was."""
    why = "the interval is too wide" if found.test.wide else "the log gives no figure"
    if found.test.wide or found.test.refused is not None:
        return _noted(found, f"nothing was calibrated or written: {why}"), None
    return found, _correct(arguments, held, scenario, found=found)


def _noted(found: "RoadAnswer", note: str) -> "RoadAnswer":
    """With one more note on the log."""
    from dataclasses import replace

    return replace(found, test=replace(found.test, notes=(*found.test.notes, note)))


def _refused(*errors: str) -> ValueError:
    from rollsim.scenario import ScenarioError

    return ScenarioError(errors)


def _check_options(arguments: argparse.Namespace) -> None:
    """Options that only go together, all told at once."""
    wrong = []
    if arguments.calibrate and arguments.log is None:
        wrong.append("--calibrate: needs LOG; give the log of the drive")
    if arguments.plot and arguments.log is None:
        wrong.append("--plot: needs LOG; give the log of the drive")
    if arguments.output and not arguments.calibrate:
        wrong.append(f"-o: needs --calibrate; allowed {', '.join(UNKNOWNS)}")
    if arguments.output and arguments.output.exists():
        wrong.append(f"{arguments.output.name}: -o: exists already; name a new file")
    if wrong:
        raise _refused(*(f"road-test: {line}" for line in wrong))
    check_plot(arguments.plot, [arguments.scenario, arguments.log, arguments.output])


def _choices(arguments: argparse.Namespace) -> "dict[Role, Choice]":
    from rollsim.road_test import Choice, Role

    given = {
        name: getattr(arguments, name) for name in (option.replace("-", "_") for option in COLUMNS)
    }
    return {Role(name): Choice(*pair) for name, pair in given.items() if pair}


def _read(arguments: argparse.Namespace) -> "Log | None":
    from rollsim.road_test import LogError, parse_mount, read_log, turn_round

    if arguments.log is None:
        return None
    try:
        mount = None if arguments.mount is None else parse_mount(arguments.mount)
        log = read_log(arguments.log, _choices(arguments), mount=mount)
    except LogError as wrong:
        raise _refused(*wrong.errors) from None
    except ValueError as wrong:
        raise _refused(f"road-test: --mount: {wrong}") from None
    return turn_round(log, lateral="lateral" in arguments.flip, roll="roll" in arguments.flip)


def _stated(arguments: argparse.Namespace) -> "Stated":
    """What is known of the drive beside its log."""
    from rollsim.road_test import Sensor, Stated
    from rollsim.units import Dimension, parse

    given: dict[str, object] = {}
    for option, name, dimension, most in (
        ("level", "level", Dimension.ANGLE, "10 deg"),
        ("gyro_scale", "gyro_scale", Dimension.RATIO, "0.2"),
    ):
        text = getattr(arguments, option)
        if text is None:
            continue
        where = f"road-test: --{option.replace('_', '-')}"
        try:
            value = parse(text, dimension).value
        except ValueError as wrong:
            raise _refused(f"{where}: {wrong}") from None
        if not 0.0 <= value <= parse(most, dimension).value:
            raise _refused(f'{where}: found "{text}"; allowed 0 to {most}')
        given[name] = value
    given["sensor"] = Sensor(arguments.sensor)
    return Stated(one_place=arguments.one_place, angle_by=arguments.angle_by.strip(), **given)


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


def _correct(
    arguments: argparse.Namespace, held: "Opened", scenario: "Scenario", *, found: "RoadAnswer"
) -> "Corrected":
    from rollsim.cli.writing import write
    from rollsim.measured import Unknown
    from rollsim.road_answer import correct
    from rollsim.scenario import ScenarioError, loads

    unknown = dict(zip(UNKNOWNS, Unknown, strict=True))[arguments.calibrate]
    new = arguments.output
    try:
        made = correct(held.text, scenario, found, unknown, folder=held.beside)
        if new is not None and made.is_put_in:
            loads(made.text, new.name, new.parent)  # its CSV files have to be where it will stand
            write(new, made.text, option="-o")
    except ScenarioError:
        raise
    except ValueError as wrong:
        raise _refused(f"{scenario.path}: --calibrate: {wrong}") from None
    return made
