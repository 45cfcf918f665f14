"""`rollsim solve`: how much, or how little, of something keeps a lean or a tipping point.

What an answer does not need is not imported: the parser of every command passes through here.
"""

import argparse
import math
import re
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from rollsim.cli.jobs import RECORD_HELP, check_record, shop_words

if TYPE_CHECKING:
    from rollsim.cli.solve_reports import Done
    from rollsim.mass import State
    from rollsim.scenario import Opened, Scenario
    from rollsim.sizing.amounts import Subject
    from rollsim.sizing.asked import Asked
    from rollsim.sizing.inverse import Goal, Kept
    from rollsim.vehicle import Job

ITEM = "load.NAME.mass"
WHATS = (
    ITEM,
    "roof load",
    "lift",
    "front lift",
    "rear lift",
    "front spring rate",
    "rear spring rate",
    "front bar",
)
UNDECIDED = "no band of the amount: the conditions do not decide it"
MOST_AT = 2.0 * 9.80665  # m/s²
_KEYS = {
    "change.suspension_lift_front": "front lift",
    "change.suspension_lift_rear": "rear lift",
}
QUANTITIES = (
    "lean",
    "tipping point",
    "first wheel lift",
    "front wheel lift",
    "rear wheel lift",
)
_CONDITION = re.compile(r"\s*(?P<what>[^<>≤≥=]*?)\s*(?P<sign><=|>=|≤|≥)\s*(?P<value>.*?)\s*")
_EXAMPLE = '"lean <= 6 deg/g", "lean at 0.3 g <= 2 deg", "tipping point >= 0.85 g"'
EPILOG = (
    f"WHAT: {', '.join(WHATS)}. Lifts are counted from no lift at all; `lift` is both axles, in "
    "the proportion of the file. A spring rate is that of one side, before any second stage, at "
    "the wheel on independent suspension. `front bar` is the roll stiffness of that bar alone. "
    f"CONDITION: {', '.join(QUANTITIES)}, then <= or >=, then a value with its unit or the word "
    f"unladen, such as {_EXAMPLE}. Lean per g is taken where the target of the file is, at 0.4 g "
    "unless it says otherwise."
)


def add_solve(commands: argparse._SubParsersAction) -> None:
    """Add `solve` to the command."""
    about = "how much load, lift, spring or bar for a given lean"
    command = commands.add_parser(
        "solve", help=about, description=f"{about[0].upper()}{about[1:]}.", epilog=EPILOG
    )
    command.add_argument(
        "scenario", type=Path, metavar="SCENARIO", help="scenario file (TOML), or a job sheet"
    )
    seek = command.add_mutually_exclusive_group(required=True)
    seek.add_argument("--most", metavar="WHAT", help="as much of it as keeps the conditions")
    seek.add_argument("--least", metavar="WHAT", help="as little of it as keeps them")
    command.add_argument(
        "--so-that",
        action="append",
        required=True,
        metavar="CONDITION",
        help="what is to be kept; several times: all of them",
    )
    command.add_argument(
        "--state", metavar="NAME", help="load case; default: the one that a bar is sized for"
    )
    command.add_argument(
        "--tolerances",
        action="store_true",
        help="carry the tolerances of the inputs to the answer (takes seconds)",
    )
    command.add_argument(
        "--record", type=Path, metavar="FOLDER", help=f"{RECORD_HELP}; for --tolerances"
    )
    command.add_argument(
        "-o", "--output", type=Path, metavar="NEW", help="scenario with the answer in it, new"
    )
    command.add_argument("--json", action="store_true", help="JSON instead of text")
    command.add_argument(
        "--units", choices=("metric", "imperial"), default="metric", help="of text and of NEW"
    )
    command.set_defaults(answer=_solve)


def _solve(arguments: argparse.Namespace) -> str:
    from rollsim.cli import solve_reports
    from rollsim.reader_units import READER_UNITS, UnitSystem
    from rollsim.scenario import opened
    from rollsim.sizing.asked import ask
    from rollsim.sizing.inverse import Seek

    check_record(arguments)
    held = opened(arguments.scenario)
    scenario = held.read()
    subject, case, goals = _question(arguments, scenario)
    seek = Seek.MOST if arguments.most is not None else Seek.LEAST
    found = ask(scenario.job, case, subject, seek=seek, goals=goals)
    units = READER_UNITS[UnitSystem(arguments.units)]
    done = replace(_done(arguments, held, scenario, found=found), shop=shop_words(arguments.record))
    if arguments.json:
        from rollsim.cli.records import dumps

        what = arguments.most if arguments.most is not None else arguments.least
        return dumps(solve_reports.solve_record(scenario, found, done, what=what))
    return solve_reports.solve_report(scenario, found, done, units=units)


def _done(
    arguments: argparse.Namespace, held: "Opened", scenario: "Scenario", *, found: "Asked"
) -> "Done":
    """What else is asked for: the scenario with the answer in it, and the band of the answer."""
    from rollsim.cli.solve_reports import Done
    from rollsim.cli.writing import write
    from rollsim.scenario import ScenarioError

    output, banded = arguments.output, arguments.tolerances
    if output is None and not banded:
        return Done()
    if not found.answer.is_decided:
        return Done(output, why_no_band=UNDECIDED if banded else "")
    try:
        text, after = _put_back(arguments, held, scenario, found=found)
    except ScenarioError:
        raise
    except ValueError as wrong:
        if output is not None:
            raise ScenarioError((f"{scenario.path}: -o: {wrong}",)) from None
        return Done(why_no_band=f"no band of the amount: {wrong}")
    if output is not None:
        write(output, text, option="-o")
    if not banded:
        return Done(output, written=True)
    from rollsim.cli.solve_band import amount_band

    return Done(output, output is not None, *amount_band(after, found))


def _question(
    arguments: argparse.Namespace, scenario: "Scenario"
) -> "tuple[Subject, State, tuple[Goal, ...]]":
    """What is asked; everything that is wrong with it at once."""
    from rollsim.scenario import ScenarioError

    option, what = ("--most", arguments.most)
    if what is None:
        option, what = ("--least", arguments.least)
    wrong, subject, case, goals = [], None, None, []
    try:
        subject = _subject(what, scenario.job)
    except ValueError as error:
        wrong.append(f"{option}: {error}")
    try:
        case = _case(arguments.state, scenario.job, subject)
    except ValueError as error:
        wrong.append(f"--state: {error}")
    for text in arguments.so_that:
        try:
            goals.append(_goal(text, scenario.job))
        except ValueError as error:
            wrong.append(f"--so-that: {error}")
    if arguments.output is not None and arguments.output.exists():
        wrong.append(f"-o: {arguments.output.name} exists already; name a new file")
    if wrong:
        raise ScenarioError(tuple(f"{scenario.path}: {line}" for line in wrong))
    there = {load.name for load in case.loads}
    items = tuple(item for item in subject.items if item in there)
    return replace(subject, items=items), case, tuple(goals)


def _nearest(text: str, known: "tuple[str, ...]") -> str:
    """The known word that was probably meant, as half a sentence; empty where none is near."""
    from rollsim.scenario import meant

    words = {re.sub(r"[_\s-]+", "_", word.casefold()): word for word in known}
    near = meant.key(text, list(words), given=(), needed=())
    return f'the nearest is "{words[near]}"; ' if near else ""


def _subject(text: str, job: "Job") -> "Subject":
    """What is to be varied."""
    from rollsim.sizing.amounts import AmountKind, Subject, lift_shape
    from rollsim.units import shown
    from rollsim.vehicle import Place

    plain = " ".join(text.split())
    if item := re.fullmatch(r"load\.(.+)\.mass", plain):
        return Subject(AmountKind.LOAD, (_item(item[1], job),))
    match _KEYS.get(plain, plain.casefold()):
        case "roof load":
            roof = {x.name: 0 for x in _driving(job) if x.place is Place.ROOF}
            if not roof:
                raise ValueError(
                    'found "roof load", but nothing is on the roof; add a [[load]] with '
                    'place = "roof", its mass may be "0 kg"'
                )
            return Subject(AmountKind.LOAD, tuple(roof))
        case "lift":
            return Subject(AmountKind.LIFT, shape=lift_shape(job))
        case "front lift":
            return Subject(AmountKind.LIFT, shape=(1.0, 0.0))
        case "rear lift":
            return Subject(AmountKind.LIFT, shape=(0.0, 1.0))
        case "front spring rate":
            return Subject(AmountKind.SPRING_RATE, axle=0)
        case "rear spring rate":
            return Subject(AmountKind.SPRING_RATE, axle=1)
        case "front bar":
            return Subject(AmountKind.FRONT_BAR)
    items = tuple(f"load.{load.name}.mass" for load in _driving(job))
    near = _nearest(plain, (*WHATS[1:], *items))
    raise ValueError(f"found {shown(text)}; {near}allowed {', '.join(WHATS)}")


def _driving(job: "Job") -> list:
    return [load for load in job.loads if not load.parked_only]


def _item(name: str, job: "Job") -> str:
    """Name of a load item that drives along."""
    from rollsim.units import shown

    names = dict.fromkeys(load.name for load in _driving(job))
    if name in names:
        return name
    there = ", ".join(shown(one) for one in names) or "none; add a [[load]]"
    raise ValueError(
        f"found the load item {shown(name)}; {_nearest(name, tuple(names))}allowed {there}"
    )


def _case(name: str | None, job: "Job", subject: "Subject | None") -> "State":
    """The load case that is asked about."""
    from rollsim import mass
    from rollsim.sizing.amounts import leaning_most
    from rollsim.units import shown

    cases = mass.states(job)[2:]
    if subject is not None and subject.items:
        cases = tuple(c for c in cases if {x.name for x in c.loads} & set(subject.items))
    if not cases:
        raise ValueError("no load case has it; put it into one (cases)")
    if name is None:
        return leaning_most(job, cases)
    for case in cases:
        if name in (case.name, mass.spoken(case.name)):
            return case
    names = tuple(case.name for case in cases)
    near = _nearest(name, names)
    raise ValueError(
        f"found {shown(name)}; {near}allowed the load cases that have it: {', '.join(names)}"
    )


def _goal(text: str, job: "Job") -> "Goal":
    """A condition."""
    from rollsim.units import shown

    found = _CONDITION.fullmatch(text)
    if found is None:
        raise ValueError(
            f"found {shown(text)}; allowed a quantity, <= or >=, and a value; write it like "
            f"{_EXAMPLE}"
        )
    what, _, at = (part.strip() for part in f" {found['what']} ".partition(" at "))
    what = " ".join(what.split()).casefold()
    if what not in (*QUANTITIES, "lean per g"):
        near = _nearest(what, QUANTITIES)
        raise ValueError(f"found {shown(found['what'])}; {near}allowed {', '.join(QUANTITIES)}")
    most = found["sign"] in ("<=", "≤")
    if most is not what.startswith("lean"):
        sign = ">=" if most else "<="
        raise ValueError(
            f"found {shown(text)}; of {what} only a {'least' if most else 'most'} can be asked; "
            f"write {sign}"
        )
    if at and not what.startswith("lean"):
        raise ValueError(f'found {shown(text)}; only "lean" is taken at an acceleration')
    return _limited(what, at, found["value"], job=job)


def _limited(what: str, at: str, value: str, *, job: "Job") -> "Goal":
    """Quantity, lateral acceleration and limit of a condition, read."""
    from rollsim.roll import SECANT_AT
    from rollsim.sizing.asked import unladen_value
    from rollsim.sizing.inverse import Goal, Kept
    from rollsim.units import Dimension

    where = _read(at, Dimension.ACCELERATION, most=MOST_AT) if at else job.target.at
    kept = {
        "tipping point": Kept.TIP_OVER,
        "first wheel lift": Kept.FIRST_LIFT,
        "front wheel lift": Kept.FRONT_LIFT,
        "rear wheel lift": Kept.REAR_LIFT,
    }.get(what, Kept.ROLL_GRADIENT)
    if kept is Kept.ROLL_GRADIENT and what == "lean" and _is_angle(value):
        kept, where = Kept.LEAN, where or SECANT_AT
    if value.casefold() == "unladen":
        own = unladen_value(job, Goal(kept, 0.0, at=where))
        if not math.isfinite(own):
            raise ValueError(
                'found "unladen", which tips before that or was not resolved; give a figure'
            )
        return Goal(kept, own, at=where, is_unladen=True)
    return Goal(kept, _read(value, _dimension(kept)), at=where)


def _dimension(kept: "Kept") -> object:
    from rollsim.sizing.inverse import Kept
    from rollsim.units import Dimension

    named = {Kept.ROLL_GRADIENT: Dimension.ROLL_GRADIENT, Kept.LEAN: Dimension.ANGLE}
    return named.get(kept, Dimension.ACCELERATION)


def _is_angle(text: str) -> bool:
    from rollsim.units import Dimension, parse

    try:
        parse(text, Dimension.ANGLE)
    except ValueError:
        return False
    return True


def _read(text: str, dimension: object, *, most: float = math.inf) -> float:
    """A value above zero, in SI; without a tolerance."""
    from rollsim.units import parse, shown

    found = parse(text, dimension)
    if found.tolerance:
        raise ValueError(f"found {shown(text)}; a condition has no tolerance; leave it out")
    if not 0.0 < found.value <= most:
        above = "above 0" if most == math.inf else "above 0 and up to 2 g"
        raise ValueError(f"found {shown(text)}; allowed {above}; check it")
    return found.value


def _put_back(
    arguments: argparse.Namespace, held: "Opened", scenario: "Scenario", *, found: "Asked"
) -> "tuple[str, Scenario]":
    """The scenario with the answer in it, proven to give it; a ValueError says why not."""
    from rollsim.reader_units import READER_UNITS, UnitSystem
    from rollsim.scenario import loads
    from rollsim.scenario.solved import solved_text

    new, units = arguments.output, READER_UNITS[UnitSystem(arguments.units)]
    amount, now = found.answer.amount, found.amount.now
    text = solved_text(held.text, scenario.job, found.subject, amount=amount, now=now, units=units)
    # Where it is to be written its CSV files have to stand there.
    where = (held.path, held.beside) if new is None else (new.name, new.parent)
    after = loads(text, *where)
    if not _gives(after.job, found):
        raise ValueError(
            "with the answer in it the file gives another figure: a test, a default or a spring's "
            "load in it depends on what was changed; change it by hand"
        )
    return text, after


def _gives(job: "Job", found: "Asked") -> bool:
    """Whether a vehicle keeps what the answer says it does."""
    import numpy as np

    from rollsim import mass
    from rollsim.sizing.inverse import measured

    plain = mass.model(job, mass.named(job, found.case))
    return all(
        np.allclose(measured(lambda _: plain, np.zeros(1), goal), value, rtol=1e-6)
        for goal, value in zip(found.goals, found.answer.with_answer, strict=True)
    )
