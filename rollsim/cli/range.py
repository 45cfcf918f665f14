"""`rollsim range`: one list of bars over many vehicles and load cases.

What an answer does not need is not imported: the parser of every command passes through here.
"""

import argparse
import csv
import io
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rollsim.cli.jobs import RECORD_HELP, shop_words
from rollsim.cli.plotting import add_plot, check_plot
from rollsim.cli.progress import progress

if TYPE_CHECKING:
    from rollsim.bar_range import Change, Run, Summary
    from rollsim.scenario import Opened

SCENARIOS_OF_A_FOLDER = (".toml", ".html", ".htm")
LARGEST_CHANGES = 32_000_000  # bytes


def add_range(commands: argparse._SubParsersAction, version: Callable[[], str]) -> None:
    """Add `range` to the command; `version` looks this program's version up."""
    about = "one list of bars over many vehicles and load cases"
    command = commands.add_parser(
        "range",
        help=about,
        description=f"{about[0].upper()}{about[1:]}: which section and hole for each, what is in "
        "the way where none fits, and how many each bar fits. Stopped, it goes on where it was "
        "when it is started again.",
    )
    command.add_argument(
        "where",
        type=Path,
        metavar="FOLDER|SCENARIO",
        help="folder of scenario files (TOML) or job sheets, or one of them",
    )
    command.add_argument(
        "--changes",
        type=Path,
        metavar="CSV",
        help="a row a vehicle: headings are keys, such as change.suspension_lift_rear, and `name`",
    )
    command.add_argument(
        "--bars",
        type=Path,
        metavar="CSV",
        help="the list of bars, as a shelf; without it each file's own",
    )
    command.add_argument(
        "-o",
        "--output",
        type=_csv,
        required=True,
        metavar="FILE",
        help="CSV to write, a row for each vehicle and load case; one that is there is replaced",
    )
    command.add_argument(
        "--processes",
        type=_count,
        default=min(os.cpu_count() or 1, 8),
        metavar="N",
        help="how many at once; the answers are the same",
    )
    command.add_argument("--record", type=Path, metavar="FOLDER", help=RECORD_HELP)
    add_plot(command, "what fits how many")
    command.set_defaults(answer=lambda arguments: _range(arguments, version()))


def _csv(text: str) -> Path:
    path = Path(text)
    if path.suffix.lower() != ".csv":
        raise argparse.ArgumentTypeError(f"found {text!r}; allowed a name that ends in .csv")
    return path


def _count(text: str) -> int:
    if not (text.isdigit() and 1 <= int(text) <= 64):
        raise argparse.ArgumentTypeError(f"found {text!r}; allowed a whole number from 1 to 64")
    return int(text)


def _range(arguments: argparse.Namespace, version: str) -> str:
    from rollsim.bar_range import runs_of, summary_words
    from rollsim.cli.layout import bullets, paragraph
    from rollsim.cli.plotting import plot_range
    from rollsim.cli.shelf import shelf_text
    from rollsim.cli.writing import spare, write

    output, where = arguments.output, arguments.where
    read = [arguments.changes, arguments.bars, where]
    spare(output, read, option="--output")
    check_plot(arguments.plot, [*read, output])
    changes = _changes(arguments.changes)
    shelf = "" if arguments.bars is None else shelf_text(arguments.bars, option="--bars")
    files, skipped = _files(where)
    if not where.is_dir():
        beside = [where.with_name(name) for name, _ in files[0].source().tables]
        spare(output, beside, option="--output")
    runs = tuple(runs_of(files, changes, shelf))
    kept = output.with_name(f"{output.name}.part")
    processes = min(arguments.processes, len(runs))
    found, table = _answered(runs, kept, processes=processes, version=version)
    write(output, table, option="--output")
    kept.unlink(missing_ok=True)
    head, *lines = summary_words(found)
    shop = shop_words(arguments.record)
    return "\n\n".join(
        (
            paragraph(head),
            *((bullets(lines),) if lines else ()),
            *((paragraph(shop),) if shop else ()),
            *((bullets(skipped),) if skipped else ()),
            *plot_range(arguments.plot, found),
            f"{output}: {found.total} rows written.",
        )
    )


def _answered(
    runs: "Sequence[Run]", kept: Path, *, processes: int, version: str
) -> "tuple[Summary, str]":
    """The counts of all rows, and the rows as CSV."""
    from rollsim.bar_range import HEADS, answer_all, fits, parts_of
    from rollsim.scenario import ScenarioError
    from rollsim.tell.names import safe

    table = io.StringIO()
    writer = csv.DictWriter(table, HEADS, restval="", lineterminator="\n")
    writer.writeheader()
    told = progress("vehicles")

    def written() -> Iterator[dict[str, str]]:
        for rows in answer_all(runs, kept, version=version, processes=processes, progress=told):
            writer.writerows({name: safe(cell) for name, cell in row.items()} for row in rows)
            yield from rows

    try:
        return fits(written(), parts_of(runs[0].shelf)), table.getvalue()
    except KeyboardInterrupt:
        sys.stderr.write(f"\nstopped; the same command goes on from {kept}\n")
        raise
    except OSError as error:
        reason = error.strerror or error
        raise ScenarioError(
            (f"--output: {kept} cannot be written ({reason}); check name and folder",)
        ) from None


def _changes(path: Path | None) -> "tuple[Change, ...]":
    if path is None:
        return ()
    from rollsim.bar_range import read_changes
    from rollsim.cli.shelf import csv_text
    from rollsim.scenario import ScenarioError

    try:
        return read_changes(csv_text(path, option="--changes", largest=LARGEST_CHANGES), path.name)
    except ValueError as error:
        if isinstance(error, ScenarioError):
            raise
        raise ScenarioError(
            tuple(f"--changes: {line}" for line in str(error).split("\n"))
        ) from None


def _files(where: Path) -> "tuple[Sequence[Opened], list[str]]":
    """The scenarios to be answered; of a folder, what cannot be opened is named and skipped."""
    from rollsim.scenario import ScenarioError, opened

    if not where.is_dir():
        return [opened(where)], []
    files, skipped = [], []
    for path in sorted(where.iterdir()):
        if path.suffix.lower() not in SCENARIOS_OF_A_FOLDER:
            continue
        if path.is_symlink() or not path.is_file():
            skipped.append(f"skipped: {path.name}: a link or no file; put the file itself there")
            continue
        try:
            files.append(opened(path))
        except ScenarioError as wrong:
            skipped += [f"skipped: {line}" for line in wrong.errors]
    if not files:
        raise ScenarioError(
            (f"{where}: holds no scenario file (TOML) and no job sheet; name another folder",)
        )
    return files, skipped
