"""`rollsim jobs`: a folder of job sheets as the shop's own record.

What an answer does not need is not imported: the parser of every command passes through here.
"""

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rollsim.cli.progress import progress

if TYPE_CHECKING:
    from rollsim.record import Record

RECORD_HELP = "folder of job sheets: tells how well this shop's predictions came true"
_TOLD_EVERY = 200  # sheets
_LONGEST_NAME = 255  # bytes


def add_jobs(commands: argparse._SubParsersAction) -> None:
    """Add `jobs` to the command."""
    about = "the shop's record: every job sheet of a folder"
    jobs = commands.add_parser(
        "jobs",
        help=about,
        description=f"{about[0].upper()}{about[1:]}, what was measured against what was predicted, "
        "and what is normal for a class. Nothing leaves this computer.",
    )
    jobs.add_argument("folder", type=Path, metavar="FOLDER", help="with the job sheets (HTML)")
    jobs.add_argument("--json", action="store_true", help="JSON instead of tables")
    jobs.add_argument("--vehicle", metavar="PLATE", help="the jobs of this registration alone")
    jobs.add_argument(
        "-o",
        "--output",
        type=_toml,
        metavar="FILE",
        help="with --vehicle: write the scenario (TOML) of its last sheet, to start from",
    )
    jobs.set_defaults(answer=_jobs)


def _toml(text: str) -> Path:
    """A file that is surely no job sheet."""
    path = Path(text)
    if path.suffix.lower() != ".toml":
        raise argparse.ArgumentTypeError(f"found {text!r}; allowed a name that ends in .toml")
    return path


def record_of(folder: Path) -> "Record":
    """The record of a folder, for an option or argument; a ScenarioError where there is none."""
    from rollsim.record import read_folder
    from rollsim.scenario import ScenarioError

    try:
        return read_folder(folder, progress("sheets", every=_TOLD_EVERY))
    except OSError as error:
        reason = error.strerror or error
        raise ScenarioError((f"{folder}: cannot be read ({reason}); give a folder",)) from None


def check_record(arguments: argparse.Namespace) -> None:
    """Refuse a record where no band is asked for that it could stand beside."""
    from rollsim.scenario import ScenarioError

    if arguments.record is not None and not arguments.tolerances:
        raise ScenarioError(("--record: stands beside the bands; add --tolerances",))


def shop_words(folder: Path | None) -> str:
    """How well the shop's predictions came true, for beside a band; empty without a folder."""
    if folder is None:
        return ""
    from rollsim.record import accuracy_of
    from rollsim.record.words import TOO_FEW, accuracy_words

    found = accuracy_of(record_of(folder).jobs)
    return TOO_FEW if found is None else accuracy_words(found)


def _jobs(arguments: argparse.Namespace) -> str:
    from rollsim.cli import job_reports, records
    from rollsim.cli.writing import spare
    from rollsim.scenario import ScenarioError

    if arguments.output is not None:
        if arguments.vehicle is None:
            raise ScenarioError(("--output: needs --vehicle, whose last sheet is written; add it",))
        spare(arguments.output, [arguments.folder], option="--output")
    whole = record_of(arguments.folder)
    jobs = whole.jobs if arguments.vehicle is None else whole.of(arguments.vehicle)
    if arguments.vehicle is not None and not jobs:
        raise ScenarioError(
            (
                f"--vehicle: found {arguments.vehicle!r}, which is on no sheet of "
                f"{arguments.folder}; look for it in `rollsim jobs {arguments.folder}`",
            )
        )
    written = ""
    if arguments.output is not None:
        written = _start_again(arguments.folder / jobs[-1].file, arguments.output)
    if arguments.json:
        return records.dumps(job_reports.jobs_record(whole, jobs))
    report = job_reports.jobs_report(whole, jobs, folder=str(arguments.folder))
    return "\n\n".join(filter(None, (report, written)))


def _start_again(sheet: Path, output: Path) -> str:
    """Write the scenario of a sheet, and the CSV files that it names beside it."""
    from rollsim.cli.layout import paragraph
    from rollsim.cli.writing import write
    from rollsim.record import started_again
    from rollsim.record.words import START_AGAIN
    from rollsim.scenario import ScenarioError, source
    from rollsim.tell.names import clean

    held = source(sheet)
    beside = _beside(held.tables, output)
    try:
        text = started_again(held.text)
    except ValueError as error:
        raise ScenarioError((f"{sheet.name}: {error}",)) from None
    for path, content in beside:
        write(path, content, option="--output")
    write(output, text, option="--output")
    names = "".join(f", with {clean(path)}" for path, _ in beside)
    return paragraph(f"{output}: the scenario of {sheet.name} written{names}. {START_AGAIN}")


def _beside(tables: Sequence[tuple[str, str]], output: Path) -> list[tuple[Path, str]]:
    """Where the CSV files of a sheet go; a sheet may come from anyone, so plain names alone."""
    from rollsim.scenario import ScenarioError
    from rollsim.tell.names import clean

    found, wrong = [], []
    for name, text in tables:
        path = output.with_name(name) if _is_plain(name) else None
        if path is None:
            wrong.append(
                f"the sheet names {clean(name)!r}; allowed a plain name that ends in .csv; "
                "give commands the sheet itself in place of a scenario"
            )
        elif path.is_symlink() or (path.exists() and _differs(path, text)):
            wrong.append(f"{path} is there and is another one; write into an empty folder")
        else:
            found.append((path, text))
    if wrong:
        raise ScenarioError(tuple(f"--output: {words}" for words in wrong))
    return found


def _is_plain(name: str) -> bool:
    stem = name[:-4]
    return (
        name.isprintable()
        and name.lower().endswith(".csv")
        and bool(stem.strip(". "))
        and not {"/", "\\"} & set(name)
        and len(name.encode()) <= _LONGEST_NAME
    )


def _differs(path: Path, text: str) -> bool:
    from rollsim.files import TooLargeError, read_text

    try:
        return not path.is_file() or read_text(path, 2 * len(text.encode()) + 3) != text
    except (OSError, TooLargeError, UnicodeDecodeError):
        return True
