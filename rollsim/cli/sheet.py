"""`rollsim sheet`: the job sheet as an HTML file.

What an answer does not need is not imported: the parser of every command passes through here.
"""

import argparse
import datetime
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from rollsim.cli.jobs import RECORD_HELP, shop_words

SUFFIXES = (".html", ".htm")
PAPERS = ("a4", "letter")


def add_sheet(commands: argparse._SubParsersAction, version: Callable[[], str]) -> None:
    """Add `sheet` to the command; `version` looks this program's version up."""
    about = "the job sheet, HTML that prints on two pages"
    sheet = commands.add_parser(
        "sheet",
        help=about,
        description=f"{about[0].upper()}{about[1:]}. The scenario is inside it: every command "
        "takes the sheet in place of the scenario file.",
    )
    sheet.add_argument(
        "scenario", type=Path, metavar="SCENARIO", help="scenario file (TOML), or a job sheet"
    )
    sheet.add_argument(
        "-o",
        "--output",
        type=_html,
        required=True,
        metavar="FILE",
        help="HTML file to write; one that is there is replaced",
    )
    sheet.add_argument("--units", choices=("metric", "imperial"), default="metric", help="of it")
    sheet.add_argument("--paper", choices=PAPERS, default="a4", help="that it is printed on")
    sheet.add_argument(
        "--shelf",
        type=Path,
        metavar="CSV",
        help="order from the shop's own bars, instead of the sections in the file",
    )
    which = sheet.add_mutually_exclusive_group()
    which.add_argument(
        "--pair",
        action="store_true",
        help="order front and rear bar together, though a rear bar alone is accepted; without it "
        "where none is",
    )
    which.add_argument(
        "--rank",
        type=int,
        metavar="N",
        help="order the bar of that rank in `rollsim size` instead of the first",
    )
    sheet.add_argument(
        "--date", type=_date, metavar="YYYY-MM-DD", help="on the sheet; default: today"
    )
    sheet.add_argument(
        "--picture",
        type=_png,
        metavar="FILE",
        help="a PNG to send as well: before and after from behind in the same bend",
    )
    sheet.add_argument("--record", type=Path, metavar="FOLDER", help=RECORD_HELP)
    sheet.set_defaults(answer=lambda arguments: _sheet(arguments, version()))


def _html(text: str) -> Path:
    """A file that is surely no scenario."""
    path = Path(text)
    if path.suffix.lower() not in SUFFIXES:
        raise argparse.ArgumentTypeError(f"found {text!r}; allowed a name that ends in .html")
    return path


def _png(text: str) -> Path:
    path = Path(text)
    if path.suffix.lower() != ".png":
        raise argparse.ArgumentTypeError(f"found {text!r}; allowed a name that ends in .png")
    return path


def _date(text: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text.strip())
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"found {text!r}; allowed a date such as 2026-01-31"
        ) from None


def _sheet(arguments: argparse.Namespace, version: str) -> str:
    from rollsim.cli.layout import paragraph
    from rollsim.cli.missing import need
    from rollsim.cli.writing import write
    from rollsim.drawing import png
    from rollsim.reader_units import READER_UNITS, UnitSystem
    from rollsim.record.words import TOO_FEW
    from rollsim.remedies import what_else_helps
    from rollsim.scenario import ScenarioError, opened
    from rollsim.sheet import Paper, facts, job_sheet, picture_to_send, words, work_out

    if arguments.picture is not None:
        need("--picture", "vl_convert")
    file = opened(arguments.scenario)
    if arguments.shelf is not None:
        from rollsim.cli.shelf import from_shelf

        file = from_shelf(file, arguments.shelf)
    scenario = file.read()
    units = READER_UNITS[UnitSystem(arguments.units)]
    held = file.source()
    try:
        work = work_out(scenario, rank=arguments.rank, paired=arguments.pair)
        if work.sizing is not None and work.bar is None and work.pair is None:
            work = replace(work, helps=what_else_helps(held, scenario, work.sizing))
    except ValueError as wrong:
        raise ScenarioError((f"--rank: {wrong}",)) from None
    if arguments.pair and work.pair is None:
        raise ScenarioError((f"--pair: {words.no_pair(work)}; leave it out",))
    shop = shop_words(arguments.record)
    too_few, now = shop == TOO_FEW, datetime.datetime.now()
    written = job_sheet(
        work,
        held,
        day=arguments.date or now.date(),
        version=version,
        units=units,
        paper=Paper(arguments.paper),
        shop="" if too_few else shop,
        time="" if arguments.date else now.time().isoformat("seconds"),  # of another day: unknown
    )
    write(arguments.output, written, option="--output")
    sent = ()
    if arguments.picture is not None:
        write(arguments.picture, png(picture_to_send(work, units)), option="--picture")
        sent = (f"{arguments.picture}: picture written.",)
    over = (f"OVER A RATING: {line}" for line in facts.over(work, units))
    told = (
        *over,
        *words.answer(work, units),
        words.customer_line(work),
        *([shop] if too_few else []),
    )
    head = f"{arguments.output}: job sheet written; print it from a browser."
    return "\n\n".join((head, *(paragraph(line) for line in told), *sent))
