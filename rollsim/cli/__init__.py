"""The command: `rollsim roll`, `size`, `springs`, `solve`, `weigh` and so on.

`records` turns results into JSON, `tables` and `size_tables` into text for a terminal, `layout`
aligns it, `reader_units` converts. What an answer does not need is not imported.
"""

import argparse
import math
import os
import re
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NoReturn, TextIO

from rollsim.cli.jobs import RECORD_HELP, add_jobs, check_record, shop_words
from rollsim.cli.missing import MissingLibraryError
from rollsim.cli.page_server import add_page
from rollsim.cli.plotting import add_plot, check_plot
from rollsim.cli.range import add_range
from rollsim.cli.road_test import add_road_test
from rollsim.cli.sheet import add_sheet
from rollsim.cli.solve import add_solve
from rollsim.cli.weigh import add_weigh
from rollsim.shipped import SCENARIOS

ANSWERED, FAILED, WRONG_INPUT = 0, 1, 2
LARGEST_ACCELERATION = 2.0  # g
DEBUG_VARIABLE = "ROLLSIM_DEBUG"


class _UnwrittenError(Exception):
    """The answer cannot be written; the reason."""


class _Parser(argparse.ArgumentParser):
    """Tells a wrong command line in one line, and fails where its help cannot be written."""

    def error(self, message: str) -> NoReturn:
        self.exit(WRONG_INPUT, f"{self.prog}: {' '.join(message.split())}; see {self.prog} -h\n")

    def _print_message(self, message: str, file: TextIO | None = None) -> None:
        if file is sys.stdout:
            _say(message)
        else:
            _complain(message)


class _Version(argparse.Action):
    """Looks the version up only where it is asked for."""

    def __call__(self, parser: argparse.ArgumentParser, *_: object) -> NoReturn:
        _say(f"rollsim {version_shown()}\n")
        parser.exit()


def version_shown() -> str:
    """Version of this program as installed; in words where it is not."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("rollsim")
    except PackageNotFoundError:
        return "(not installed)"


def _no_option(word: str) -> str:
    """A quantity below zero, such as -700mm, which argparse would take for an option."""
    return f" {word}" if re.match(r"-[\d.,]+ ?[^\d.,\s]", word) else word


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command; `argv` is what follows its name, None that of the process.

    Returns 0 where it answered, also where a rating is exceeded; 2 where the input is wrong, the
    errors on stderr; 1 where the program failed. With ROLLSIM_DEBUG=1 in the environment a failure
    shows its traceback.
    """
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
    try:
        given = sys.argv[1:] if argv is None else argv
        return _answer(_parser().parse_args([_no_option(word) for word in given]))
    except SystemExit as stop:
        return int(stop.code or 0)
    except BrokenPipeError:
        return ANSWERED  # the reader has gone
    except _UnwrittenError as error:
        _complain(
            f"rollsim: the answer cannot be written ({error}); make room, or write it to "
            "another place\n"
        )
        return FAILED
    except MissingLibraryError as error:
        _complain(f"rollsim: {error}\n")
        return FAILED
    except KeyboardInterrupt:
        return 130
    except Exception as error:
        if os.environ.get(DEBUG_VARIABLE) == "1":
            raise
        reason = " ".join(f"{type(error).__name__}: {error}".split())
        _complain(f"rollsim failed: {reason}; please report\n")
        return FAILED


def _say(text: str) -> None:
    """Write an answer to stdout at once, where there is one."""
    if sys.stdout is None:
        return
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        _give_up(sys.stdout)
        raise
    except OSError as error:
        _give_up(sys.stdout)
        raise _UnwrittenError(error.strerror or error) from None


def _complain(text: str) -> None:
    """Write to stderr; where that is closed or full, nobody is left to be told."""
    if sys.stderr is None:
        return
    try:
        sys.stderr.write(text)
        sys.stderr.flush()
    except OSError:
        _give_up(sys.stderr)


def _give_up(stream: TextIO) -> None:
    """Send what a stream still holds nowhere, else the interpreter complains when it ends."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _answer(arguments: argparse.Namespace) -> int:
    from rollsim.scenario import ScenarioError

    try:
        text = arguments.answer(arguments)
    except ScenarioError as wrong:
        _complain("\n".join((*wrong.errors, "")))
        return WRONG_INPUT
    _say(f"{text}\n")
    return ANSWERED


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="rollsim",
        description="Body roll of a loaded or lifted vehicle, and the bar that brings it back.",
        epilog=f"Demo scenarios to begin with are in {SCENARIOS}",
    )
    parser.add_argument("--version", action=_Version, nargs=0, help="show the version and stop")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    roll = _command(commands, "roll", _roll, about="every state side by side")
    roll.add_argument(
        "--at",
        action="append",
        type=_acceleration,
        metavar="G",
        help="lateral acceleration in g, several times; replaces 0 to 0.7 g",
    )
    roll.add_argument(
        "--tolerances",
        action="store_true",
        help="carry the tolerances of the inputs to the lean (takes seconds)",
    )
    roll.add_argument(
        "--record", type=Path, metavar="FOLDER", help=f"{RECORD_HELP}; for --tolerances"
    )
    size = _command(commands, "size", _size, about="the ranked rear bars and the choice")
    size.add_argument(
        "--what-else",
        action="store_true",
        help="count what else would help, though a bar is accepted (takes seconds)",
    )
    size.add_argument(
        "--shelf",
        type=Path,
        metavar="CSV",
        help="size from the shop's own bars, instead of the sections in the file",
    )
    springs = _command(commands, "springs", _springs, about="springs against weight, every state")
    springs.add_argument(
        "--shelf", type=Path, metavar="CSV", help="set the shop's own springs side by side as well"
    )
    add_solve(commands)
    add_plot(roll, "lean, wheel loads and weight transfer of each state")
    add_plot(size, "lean of every bar against safety factor and front share")
    add_plot(springs, "travel used and left in each state")
    add_weigh(commands)
    add_road_test(commands)
    add_sheet(commands, version_shown)
    add_jobs(commands)
    add_range(commands, version_shown)
    add_page(commands)
    _command(commands, "check", _check, about="the file alone, nothing computed")
    for command in (roll, size, springs):
        command.add_argument("--json", action="store_true", help="JSON instead of tables")
        command.add_argument(
            "--units",
            choices=("metric", "imperial"),
            default="metric",
            help="of the tables; JSON keys carry their own",
        )
    return parser


def _command(
    commands: argparse._SubParsersAction,
    name: str,
    answer: Callable[[argparse.Namespace], str],
    *,
    about: str,
) -> argparse.ArgumentParser:
    command = commands.add_parser(name, help=about, description=about[0].upper() + about[1:] + ".")
    command.add_argument(
        "scenario", type=Path, metavar="SCENARIO", help="scenario file (TOML), or a job sheet"
    )
    command.set_defaults(answer=answer)
    return command


def _acceleration(text: str) -> float:
    """Lateral acceleration [g] from the command line."""
    try:
        value = float(text.strip().removesuffix("g"))
    except ValueError:
        value = math.nan
    if not 0.0 <= value <= LARGEST_ACCELERATION:
        raise argparse.ArgumentTypeError(
            f"found {text!r}; allowed a number from 0 to {LARGEST_ACCELERATION:g}, in g, like 0.4"
        )
    return value


def _roll(arguments: argparse.Namespace) -> str:
    from rollsim import roll
    from rollsim.cli import records, tables
    from rollsim.cli.plotting import plot_roll
    from rollsim.reader_units import UnitSystem
    from rollsim.scenario import load
    from rollsim.tolerance import lean_bands
    from rollsim.vehicle import STANDARD_GRAVITY

    check_plot(arguments.plot, [arguments.scenario])
    scenario = load(arguments.scenario)
    check_record(arguments)
    lateral = roll.DEFAULT_CURVE
    if arguments.at:
        lateral = tuple(g * STANDARD_GRAVITY for g in sorted(set(arguments.at)))
    bands = lean_bands(scenario.job, scenario.tolerances) if arguments.tolerances else None
    system = UnitSystem(arguments.units)
    shop = shop_words(arguments.record)
    drawn = plot_roll(arguments.plot, scenario, system)
    if arguments.json:
        found = roll.results(scenario.job, lateral)
        record = records.roll_record(scenario, found, bands)
        if shop:
            record["notes"] = [*record["notes"], shop]
        return records.dumps(record)
    found = roll.results(scenario.job, (*lateral, roll.SECANT_AT))
    report = tables.roll_report(scenario, found, lateral, system=system, bands=bands, shop=shop)
    return "\n\n".join((report, *drawn))


def _size(arguments: argparse.Namespace) -> str:
    from rollsim.cli import records, size_records, size_tables
    from rollsim.cli.plotting import plot_size
    from rollsim.reader_units import UnitSystem
    from rollsim.scenario import ScenarioError, opened

    check_plot(arguments.plot, [arguments.scenario])
    held = opened(arguments.scenario)
    if arguments.shelf is not None:
        from rollsim.cli.shelf import from_shelf

        held = from_shelf(held, arguments.shelf)
    scenario = held.read()
    if scenario.rear_bar is None:
        missing = (
            f"{scenario.path}: rear_bar: missing; allowed a table with the shape of the bar to be "
            "sized; add [rear_bar] (docs/scenario-format.md)"
        )
        raise ScenarioError((missing,))
    from rollsim import roll, sizing
    from rollsim.mass import names_with_bar

    found = sizing.size(scenario.job, scenario.rear_bar, scenario.front_bar)
    helps, left_out = (), ()
    if arguments.what_else or (found.choice is None and not found.nothing_to_bring_back):
        # Sizes again and again: only where it is asked for.
        from rollsim.remedies import helps_not_counted, what_else_helps

        text = held.source()
        helps = what_else_helps(text, scenario, found)
        left_out = helps_not_counted(text, scenario)
    system = UnitSystem(arguments.units)
    drawn = plot_size(arguments.plot, scenario, found, system)
    if arguments.json:
        from rollsim.remedies import pair_change

        change = pair_change(held.text, scenario, found)
        return records.dumps(size_records.size_record(scenario, found, helps, left_out, change))
    before = roll.results(scenario.job, only=names_with_bar(scenario.job))
    report = size_tables.size_report(
        scenario, found, before, helps=helps, left_out=left_out, system=system
    )
    return "\n\n".join((report, *drawn))


def _springs(arguments: argparse.Namespace) -> str:
    from rollsim.cli import lift_reports, records, spring_choice, spring_records, spring_tables
    from rollsim.cli.plotting import plot_springs
    from rollsim.lift_check import lift_check
    from rollsim.mass import case_names
    from rollsim.reader_units import READER_UNITS, UnitSystem
    from rollsim.roll.contributions import stages
    from rollsim.scenario import opened
    from rollsim.spring_check import spring_checks
    from rollsim.spring_options import spring_options

    check_plot(arguments.plot, [arguments.scenario])
    held = opened(arguments.scenario)
    if arguments.shelf is not None:
        from rollsim.cli.shelf import with_springs

        held = with_springs(held, arguments.shelf)
    scenario = held.read()
    job = scenario.job
    found = spring_checks(job)
    options = spring_options(job, scenario.rear_bar)
    changes = {case: stages(job, case) for case in case_names(job)}
    lift = lift_check(job, found)
    system = UnitSystem(arguments.units)
    drawn = plot_springs(arguments.plot, scenario, found, system)
    if arguments.json:
        record = spring_records.springs_record(scenario, found)
        record["changes"] = spring_choice.changes_record(changes)
        record["options"] = spring_choice.options_record(options)
        record |= lift_reports.lift_record(lift) | lift_reports.curve_record(job)
        record["notes"] += spring_choice.null_notes(changes, options)
        record["notes"] += lift_reports.null_notes(lift)
        return records.dumps(record)
    more = (
        *lift_reports.lift_tables(lift, READER_UNITS[system]),
        *spring_choice.changes_table(changes),
        *spring_choice.options_table(options, READER_UNITS[system]),
    )
    report = spring_tables.springs_report(scenario, found, system=system, more=more)
    return "\n\n".join((report, *drawn))


def _check(arguments: argparse.Namespace) -> str:
    from rollsim import mass
    from rollsim.cli import tables
    from rollsim.scenario import load

    scenario = load(arguments.scenario)
    names = tuple(state.name for state in mass.states(scenario.job))
    return tables.check_report(scenario, names)
