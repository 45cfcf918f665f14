"""From a scenario file (TOML) to everything that the program computes with; every input error.

`keys` reads one value, `vehicle_tables` and `schema` name all keys, `validation` words what is
refused, `meant` guesses what was meant, `defaults` knows the class defaults, `assumed` tells what
the file marks so, `axles`,
`rear_bar`, `table` and `build` make the records, `checks` compares them, `errors` tells all;
`embedded` puts a file into a printed sheet and takes it out again.
"""

import copy
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from rollsim.bar import RearBar
from rollsim.files import STANDARD_INPUT, TooLargeError, read_text
from rollsim.mass import UNLADEN
from rollsim.roll import AtRest, at_rest, tipping_before, unsettled
from rollsim.scenario.assumed import assumed_lines
from rollsim.scenario.bounds import BYTE_ORDER_MARK, LARGEST, parsed, too_large, too_many
from rollsim.scenario.build import build
from rollsim.scenario.checks import case_names
from rollsim.scenario.embedded import LARGEST_SHEET, SUFFIXES, Source, extract, with_tables
from rollsim.scenario.errors import Problems, ScenarioError
from rollsim.scenario.ledger import Ledger, TapedRollCentre, Tolerance
from rollsim.scenario.schema import Document
from rollsim.scenario.settled_heights import height_notes, looked_at
from rollsim.scenario.table import Beside
from rollsim.scenario.validation import validate
from rollsim.scenario.vehicle_tables import CORNERS
from rollsim.units import Quantity
from rollsim.vehicle import STANDARD_GRAVITY, Job

if TYPE_CHECKING:
    from rollsim.weighing import Weighed

__all__ = [
    "BYTE_ORDER_MARK",
    "Opened",
    "Scenario",
    "ScenarioError",
    "Source",
    "Tolerance",
    "case_names",
    "from_data",
    "load",
    "loads",
    "opened",
    "source",
]

_UNSETTLED = {
    True: 'state "{state}": the body topples at rest, its springs are softer in roll than its '
    "weight is top-heavy; check CG height, load heights, spring rates and spring base",
    False: 'state "{state}": no settled position was found; check masses, CG height, load '
    "positions, spring rates and stops",
}


@dataclass(frozen=True, slots=True)
class Scenario:
    """A scenario file, checked and in SI.

    `path` is the name of the file, as errors show it. `assumed` and `measured` are lines for every
    output: values that nobody measured, and those that tests in the bay gave, each with its 90 %
    band. `tolerances` are those of all inputs, of class defaults too. `rear_bar` is the one to be
    sized and `front_bar` one to go with it, None where the file has none; `roll_centres` are those
    by tape; `corners` is None where the axles were weighed. `lean_after` is what a test after the
    work read at 0.3 g [rad]: it goes into the shop's record, and into nothing that is computed.
    """

    title: str
    path: str
    job: Job
    rear_bar: RearBar | None
    assumed: tuple[str, ...] = ()
    tolerances: tuple[Tolerance, ...] = ()
    notes: tuple[str, ...] = ()
    measured: tuple[str, ...] = ()
    roll_centres: tuple[TapedRollCentre, ...] = ()
    corners: "Weighed | None" = None
    front_bar: RearBar | None = None
    registration: str = ""
    lean_after: Quantity | None = None

    @property
    def assumed_of_rear(self) -> tuple[str, ...]:
        """What is assumed that the lean or the rear bar hangs on.

        The shape of a front bar to choose bears on that bar alone.
        """
        return tuple(line for line in self.assumed if not line.startswith("front_bar."))


@dataclass(frozen=True, slots=True)
class Opened:
    """A scenario's text (TOML), and where its CSV files are.

    `path` is the file that was opened, as errors show it; `name` that of the scenario file, which a
    sheet remembers.
    """

    path: str
    name: str
    text: str
    beside: Beside

    def read(self) -> Scenario:
        """Read it; a ScenarioError tells every error."""
        return loads(self.text, self.path, self.beside)

    def source(self) -> Source:
        """With the CSV files that it names, to be put into a sheet."""
        return with_tables(self.name, self.text, self.beside)


def load(path: Path) -> Scenario:
    """Read a scenario file (TOML in UTF-8), or the one that an HTML job sheet holds.

    Values in SI (m, kg, N, rad). Raises ScenarioError with every error of the file, one line each.
    """
    return opened(path).read()


def opened(path: Path) -> "Opened":
    """A scenario file, or the one that a job sheet holds, as text; not checked.

    "-" is the standard input, and a pipe can be read once only. Raises ScenarioError where it
    cannot be read, or no scenario is in the sheet.
    """
    path = Path(path)
    text = _file_text(path)
    if not _is_sheet(path):
        return Opened(path.name, path.name, text, path.parent)
    held = _held(text, path)
    return Opened(path.name, held.name, held.text, dict(held.tables))


def source(path: Path) -> Source:
    """A scenario file as text, or that of a sheet, with the CSV files that it names; not checked.

    To the letter, but for line ends. Raises ScenarioError as `opened` does.
    """
    return opened(path).source()


def _is_sheet(path: Path) -> bool:
    return path.suffix.lower() in SUFFIXES


def _held(html: str, path: Path) -> Source:
    """The scenario in a sheet."""
    held = extract(html)
    if held is None:
        problems = Problems(path.name)
        problems.add(
            "",
            "holds no scenario, or a damaged one; allowed a job sheet of this program as it was "
            "written, or a scenario file (TOML); make the sheet again from the file",
        )
        raise ScenarioError(problems.found)
    return held


def _file_text(path: Path) -> str:
    """Text of a file, or the error why it cannot be read."""
    problems = Problems(path.name or str(path))
    largest = LARGEST_SHEET if _is_sheet(path) else LARGEST
    text = ""
    try:
        if path != STANDARD_INPUT and path.is_dir():
            problems.add("", "is a folder; give a scenario file (TOML)")
        else:
            text = read_text(path, largest)
    except FileNotFoundError:
        problems.add("", "no such file; check the name and the folder")
    except TooLargeError:
        problems.add("", f"{too_large(largest)}; give a scenario file (TOML)")
    except UnicodeDecodeError:
        problems.add("", "is not UTF-8 text; save it as plain text in UTF-8")
    except (OSError, ValueError) as error:
        problems.add("", f"cannot be read ({getattr(error, 'strerror', None) or error})")
    problems.stop_if_any()
    return text


def loads(text: str, name: str, folder: Beside = None) -> Scenario:
    """Read a scenario from text (TOML).

    `name` is that of the file, for errors; without a folder no CSV of a measured spring is read.
    Values in SI (m, kg, N, rad). Raises ScenarioError with every error of the text, one line each.

    Examples
    --------
    >>> try:
    ...     loads("title = ", "demo.toml")
    ... except ScenarioError as error:
    ...     print(error)
    demo.toml: line 1: not readable as TOML (Invalid value); check that line
    """
    problems = Problems(name)
    try:
        data = copy.deepcopy(parsed(text))
    except ValueError as error:
        problems.add("", str(error))
    problems.stop_if_any()
    return from_data(data, name, folder)


def from_data(data: dict, name: str, folder: Beside = None) -> Scenario:
    """Make a scenario from data that is already read from TOML, as `loads` does from text.

    The data is changed where values are refused.
    """
    problems = Problems(name)
    for key, message in too_many(data):
        problems.add(key, message)
    problems.stop_if_any()
    document = validate(data, problems)
    if document is None:
        raise ScenarioError(problems.found)
    ledger = Ledger(problems, assumed=list(assumed_lines(data)))
    job, rear_bar, front_bar = build(ledger, document, folder)
    problems.stop_if_any()
    rests = _check_standing(problems, job, "vehicle.cg_height")
    if document.lean_test is not None and not document.lean_test.applied:
        problems.stop_if_any()
        from rollsim.scenario.lean_test_input import apply_lean_test  # few files have one

        job = apply_lean_test(ledger, document.lean_test, job)
        problems.stop_if_any()
        _check_standing(problems, job, "lean_test")
    _check_target(problems, job, rear_bar)
    problems.stop_if_any()
    ledger.notes += height_notes(job, rests)
    return Scenario(
        title=document.title,
        path=name,
        job=job,
        rear_bar=rear_bar,
        front_bar=front_bar,
        assumed=tuple(ledger.assumed),
        tolerances=tuple(ledger.tolerances),
        notes=tuple(ledger.notes),
        measured=tuple(ledger.measured),
        roll_centres=tuple(ledger.roll_centres),
        corners=_corners(document, job),
        registration="" if document.job is None else document.job.registration or "",
        lean_after=None if document.job is None else document.job.lean_after,
    )


def _check_standing(problems: Problems, job: Job, key: str) -> tuple[AtRest, ...]:
    """Every state has a settled position; where each stands, and one more that none has to."""
    rests = at_rest(job, looked_at(job))
    for state, topples in unsettled(job, rests[:-1]):
        problems.add(key, _UNSETTLED[topples].format(state=state))
    return rests


def _check_now(problems: Problems, job: Job, tips: tuple[str, ...]) -> None:
    """What is to lean less than now does not tip now."""
    at = f"{job.target.at / STANDARD_GRAVITY:.3g} g"
    wanted = case_names(job.loads) if job.target.case is None else (job.target.case,)
    for name in wanted:
        if name in tips:
            problems.add(
                "target.roll_gradient",
                f'found less than now, and "{name}" tips now before {at}; '
                'allowed a figure or "unladen"; write such a target',
            )


def _corners(document: Document, job: Job) -> "Weighed | None":
    read = [getattr(document.vehicle, name) for name in CORNERS]
    if None in read:
        return None
    from rollsim.weighing import CornerMasses, corner_weights  # for those who have such scales

    v = job.vehicle
    masses = CornerMasses(*(quantity.value for quantity in read))
    return corner_weights(masses, v.wheelbase, v.front.track, rear_track=v.rear.track)


def _check_target(problems: Problems, job: Job, rear_bar: RearBar | None) -> None:
    """The unladen vehicle can be measured where the target is."""
    at = job.target.at
    if rear_bar is None or at is None or job.target.roll_gradient is not None:
        return
    tips = tipping_before(job, at)
    if job.target.less_than_now is not None:
        _check_now(problems, job, tips)
    elif UNLADEN in tips:
        problems.add(
            "target.at",
            f"found {at / STANDARD_GRAVITY:.3g} g, before which the unladen vehicle tips; "
            'allowed less, or "linear"; 0.4 g is usual',
        )
