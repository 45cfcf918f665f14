"""`rollsim jobs`: a folder of job sheets as the shop's own record.

What an answer does not need is not imported: the parser of every command passes through here.
"""

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rollsim.record import Record

RECORD_HELP = "folder of job sheets: tells how well this shop's predictions came true"
_TOLD_EVERY = 200  # sheets


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
        type=Path,
        metavar="FILE",
        help="with --vehicle: write the scenario (TOML) of its last sheet, to start from",
    )
    jobs.set_defaults(answer=_jobs)


def record_of(folder: Path) -> "Record":
    """The record of a folder, for an option or argument; a ScenarioError where there is none."""
    from rollsim.record import read_folder
    from rollsim.scenario import ScenarioError

    try:
        return read_folder(folder, _progress() if sys.stderr and sys.stderr.isatty() else None)
    except OSError as error:
        reason = error.strerror or error
        raise ScenarioError((f"{folder}: cannot be read ({reason}); give a folder",)) from None


def shop_words(folder: Path | None) -> str:
    """How well the shop's predictions came true, for beside a band; empty without a folder."""
    if folder is None:
        return ""
    from rollsim.record import accuracy_of
    from rollsim.record.words import TOO_FEW, accuracy_words

    found = accuracy_of(record_of(folder).jobs)
    return TOO_FEW if found is None else accuracy_words(found)


def _progress() -> Callable[[int, int], None]:
    def tell(done: int, of: int) -> None:
        if done % _TOLD_EVERY == 0 or done == of:
            end = "\n" if done == of else ""
            sys.stderr.write(f"\r{done} of {of} sheets{end}")

    return tell


def _jobs(arguments: argparse.Namespace) -> str:
    from rollsim.cli import job_reports, records
    from rollsim.scenario import ScenarioError

    if arguments.output is not None and arguments.vehicle is None:
        raise ScenarioError(("--output: needs --vehicle, whose last sheet is written; add it",))
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
    from rollsim.scenario import ScenarioError, source

    held = source(sheet)
    beside = [(output.parent / name, text) for name, text in held.tables]
    for path, text in beside:
        if Path(path.name) != path.relative_to(output.parent):
            raise ScenarioError((f"{sheet.name}: names {path.name} in another folder",))
        if path.exists() and path.read_text(encoding="utf-8", errors="replace") != text:
            raise ScenarioError(
                (f"--output: {path} is there and is another one; write into an empty folder",)
            )
    write(output, held.text, option="--output")
    for path, text in beside:
        write(path, text, option="--output")
    return paragraph(
        f"{output}: the scenario of {sheet.name} written. What was fitted since belongs under "
        "[rear.bar] or [change], and what a year has changed onto the scales."
    )
