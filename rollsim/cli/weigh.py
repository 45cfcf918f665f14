"""`rollsim weigh`: readings from the bay as options, each with its unit.

What an answer does not need is not imported: the parser of every command passes through here.
"""

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from rollsim.cli.weigh_bar import bar_answer, bar_parser
from rollsim.cli.weigh_bounce import bounce_answer, bounce_parser
from rollsim.cli.weigh_frame import frame_answer, frame_parser

if TYPE_CHECKING:
    from rollsim.cli.weigh_reports import Answer
    from rollsim.estimates import Estimate
    from rollsim.measured import LeanResult
    from rollsim.reader_units import ReaderUnits
    from rollsim.scenario.keys import Measured
    from rollsim.units import Quantity

UNKNOWNS = ("total", "front", "rear", "cg-height")


def add_weigh(commands: argparse._SubParsersAction) -> None:
    """Add `weigh` with its tests to the command."""
    about = "tests in the bay: CG height, wheel rate, roll stiffness, frame, bars"
    weigh = commands.add_parser("weigh", help=about, description=about[0].upper() + about[1:] + ".")
    tests = weigh.add_subparsers(required=True, metavar="TEST")
    _axle_lift_parser(_test(tests, "axle-lift", _axle_lift, about="CG height by lifting an axle"))
    _load_parser(_test(tests, "load-test", _load_test, about="wheel rate and friction of an axle"))
    _lean_parser(_test(tests, "lean-test", _lean_test, about="net roll stiffness and friction"))
    about = "damping ratio in roll: rocked sideways and let go"
    bounce_parser(_test(tests, "bounce", bounce_answer, about=about))
    about = "torsional stiffness of a frame: blocks under opposite corners"
    frame_parser(_test(tests, "frame-twist", frame_answer, about=about))
    about = "a bar that is on a vehicle, by vernier and tape: its rate"
    bar_parser(_test(tests, "bar", bar_answer, about=about))
    about = "roll centres that a scenario has by tape, and what 5 mm do to them"
    centre = _test(tests, "roll-centre", _roll_centre, about=about)
    centre.add_argument(
        "scenario", type=Path, metavar="SCENARIO", help="scenario file (TOML), or a job sheet"
    )


def _test(
    tests: argparse._SubParsersAction,
    name: str,
    answer: Callable[[argparse.Namespace], "Answer"],
    *,
    about: str,
) -> argparse.ArgumentParser:
    test = tests.add_parser(
        name,
        help=about,
        description=f"{about[0].upper()}{about[1:]}. Every reading is a text with its unit, such "
        'as "1130 kg", and may carry a tolerance, taken as a 90 % band: "1130 kg ± 4 kg".',
    )
    test.add_argument("--json", action="store_true", help="JSON instead of text")
    test.add_argument("--units", choices=("metric", "imperial"), default="metric", help="of text")

    def run(arguments: argparse.Namespace) -> str:
        from rollsim.cli.weigh_reports import told
        from rollsim.reader_units import UnitSystem

        found = answer(arguments)
        return told(found, as_json=arguments.json, system=UnitSystem(arguments.units))

    test.set_defaults(answer=run)
    return test


def _axle_lift_parser(test: argparse.ArgumentParser) -> None:
    need = {"required": True, "metavar": "LENGTH"}
    test.add_argument("--wheelbase", **need, help="level")
    test.add_argument("--total", required=True, metavar="MASS", help="of the whole vehicle")
    test.add_argument("--level", required=True, metavar="MASS", help="on the scales, level")
    many = {"required": True, "action": "append"}
    test.add_argument("--lift", **many, metavar="LENGTH", help="rise of the lifted wheels; repeat")
    test.add_argument("--raised", **many, metavar="MASS", help="on the scales then; repeat")
    test.add_argument("--radius", **need, help="wheel centres above ground, loaded")
    test.add_argument("--lifted-radius", metavar="LENGTH", help="of the lifted axle, if other")
    test.add_argument("--end", choices=("front", "rear"), default="rear", help="that is lifted")


def _load_parser(test: argparse.ArgumentParser) -> None:
    pair = {"action": "append", "nargs": 2, "metavar": ("MASS", "DROP"), "default": []}
    test.add_argument("--up", **pair, help="mass on the axle and drop hub to arch, loading; repeat")
    test.add_argument("--down", **pair, help="the same, unloading; repeat")
    test.add_argument("--reading-error", metavar="LENGTH", help="of one drop; else from scatter")
    for name, what in (
        ("--sprung-mass", "MASS"),
        ("--cg-arm", "LENGTH"),
        ("--wheelbase", "LENGTH"),
    ):
        test.add_argument(
            name, metavar=what, help="for masses put on and not weighed under the wheels; all three"
        )


def _lean_parser(test: argparse.ArgumentParser) -> None:
    three = {"action": "append", "nargs": 3, "metavar": ("MASS", "OFFSET", "LEAN"), "default": []}
    test.add_argument(
        "--right",
        **three,
        help='last moved to the right; offset and lean right of level, left "-600 mm"; repeat',
    )
    test.add_argument("--left", **three, help="the same, last moved to the left; repeat")
    test.add_argument(
        "--track", metavar="LENGTH", help="between the arches, where lean is left over right arch"
    )
    test.add_argument("--reading-error", metavar="ANGLE", help="of one lean; else from scatter")
    test.add_argument("--scenario", type=Path, help="vehicle to calibrate")
    test.add_argument("--unknown", choices=UNKNOWNS, help="what the test puts right")
    test.add_argument("--state", help="of the scenario, as it stood; default: as weighed")
    test.add_argument(
        "--aboard",
        nargs=3,
        metavar=("MASS", "BEHIND", "HEIGHT"),
        help="what was moved: mass, behind the front axle, height above ground",
    )


def _roll_centre(arguments: argparse.Namespace) -> "Answer":
    from rollsim.cli.weigh_reports import roll_centre_answer
    from rollsim.scenario import ScenarioError, load

    scenario = load(arguments.scenario)
    if not scenario.roll_centres:
        missing = (
            f"{scenario.path}: roll_centre: missing; allowed a table with the linkage by tape, in "
            "[front] or [rear]; add it (docs/scenario-format.md)"
        )
        raise ScenarioError((missing,))
    return roll_centre_answer(scenario.roll_centres, _units(arguments))


class _Readings:
    """Reads options by the keys of the file and collects what is wrong, to tell all at once."""

    def __init__(self) -> None:
        self.errors: list[str] = []

    def read(self, option: str, text: str, key: "Measured") -> "Quantity":
        """A quantity in SI with its tolerance; one where it is wrong, which is told later."""
        from rollsim.units import Quantity

        try:
            return key.read(text)
        except ValueError as wrong:
            self.errors.append(f"{option}: {wrong}")
            return Quantity(1.0)

    def stop_if_any(self) -> None:
        """Raise what was collected."""
        from rollsim.scenario import ScenarioError

        if self.errors:
            raise ScenarioError(tuple(f"weigh: {error}" for error in self.errors))

    def guarded(self, compute: Callable[[], object]) -> object:
        """Run, and tell what cannot be as an input error."""
        try:
            return compute()
        except ValueError as wrong:
            self.errors.append(str(wrong))
            self.stop_if_any()
            raise


def _units(arguments: argparse.Namespace) -> "ReaderUnits":
    """Of the text; JSON is metric."""
    from rollsim.reader_units import METRIC, READER_UNITS, UnitSystem

    return METRIC if arguments.json else READER_UNITS[UnitSystem(arguments.units)]


def _axle_lift(arguments: argparse.Namespace) -> "Answer":
    from rollsim.cli.weigh_keys import AXLE_MASS, LIFT, LIFTED_MASS, RADIUS, TOTAL, WHEELBASE
    from rollsim.cli.weigh_reports import axle_lift_answer
    from rollsim.measured.branch import stated_reading_error
    from rollsim.weighing import (
        AxleLift,
        AxleLiftErrors,
        Lift,
        RaisedAxle,
        cg_height,
        implausible,
    )

    readings = _Readings()
    wheelbase = readings.read("--wheelbase", arguments.wheelbase, WHEELBASE)
    radius = readings.read("--radius", arguments.radius, RADIUS)
    other = radius
    if arguments.lifted_radius:
        other = readings.read("--lifted-radius", arguments.lifted_radius, RADIUS)
    total = readings.read("--total", arguments.total, TOTAL)
    level = readings.read("--level", arguments.level, AXLE_MASS)
    lifts = [readings.read("--lift", text, LIFT) for text in arguments.lift]
    raised = [readings.read("--raised", text, LIFTED_MASS) for text in arguments.raised]
    if len(lifts) != len(raised):
        readings.errors.append(
            f"--lift, --raised: found {len(lifts)} and {len(raised)}; give one mass to each lift"
        )
    readings.stop_if_any()
    end = RaisedAxle(arguments.end)
    rest = total.value - level.value
    pairs = zip(lifts, raised, strict=True)
    front_standing = end is RaisedAxle.REAR
    test = AxleLift(
        wheelbase.value,
        level.value if front_standing else rest,
        rest if front_standing else level.value,
        front_radius=(radius if front_standing else other).value,
        rear_radius=(other if front_standing else radius).value,
        lifts=tuple(Lift(lift.value, then.value) for lift, then in pairs),
        raised=end,
    )
    each = {"mass": (total, level, *raised), "height": lifts}
    each |= {"wheelbase": (wheelbase,), "radius": (radius, other)}
    usual = AxleLiftErrors()
    errors = AxleLiftErrors(
        *(
            stated_reading_error(None, [one.tolerance for one in read]) or getattr(usual, name)
            for name, read in each.items()
        )
    )
    found = readings.guarded(lambda: cg_height(test, errors))
    if refused := implausible(found.height.value):
        readings.errors.append(refused)
    readings.stop_if_any()
    return axle_lift_answer(found, errors, _units(arguments))


def _load_test(arguments: argparse.Namespace) -> "Answer":
    from rollsim.cli.weigh_keys import ADDED, CG_ARM, DROP, DROP_ERROR, TOTAL, WHEELBASE
    from rollsim.cli.weigh_reports import load_answer
    from rollsim.measured import LoadStep, load_test, pitch_softening
    from rollsim.measured.branch import Branch, stated_reading_error

    readings = _Readings()
    read = [
        (readings.read(option, added, ADDED), readings.read(option, drop, DROP), branch)
        for option, pairs, branch in (
            ("--up", arguments.up, Branch.RISING),
            ("--down", arguments.down, Branch.FALLING),
        )
        for added, drop in pairs
    ]
    steps = [LoadStep(added.value, drop.value, branch) for added, drop, branch in read]
    stated = _stated_error(readings, arguments.reading_error, DROP_ERROR)
    pitch = (
        ("--sprung-mass", arguments.sprung_mass, TOTAL),
        ("--cg-arm", arguments.cg_arm, CG_ARM),
        ("--wheelbase", arguments.wheelbase, WHEELBASE),
    )
    given = [readings.read(*each).value for each in pitch if each[1]]
    if given and len(given) < len(pitch):
        readings.errors.append("--sprung-mass, --cg-arm, --wheelbase: give all three or none")
    if not steps:
        readings.errors.append("--up, --down: found no reading; give each as a mass and a drop")
    readings.stop_if_any()
    softening = pitch_softening(*given) if given else 0.0
    found = readings.guarded(
        lambda: load_test(
            steps,
            reading_error=stated_reading_error(stated, [drop.tolerance for _, drop, _ in read]),
            mass_error=stated_reading_error(None, [added.tolerance for added, _, _ in read]) or 0.0,
            softening=softening,
        )
    )
    return load_answer(found, _units(arguments), weighed=not given)


def _stated_error(readings: _Readings, text: str | None, key: "Measured") -> float | None:
    """Half the 90 % band of every reading, where it is stated."""
    return None if text is None else readings.read("--reading-error", text, key).value


def _lean_test(arguments: argparse.Namespace) -> "Answer":
    from rollsim.cli.weigh_keys import ARCH_DISTANCE, LEAN_ERROR, MOVED, RIGHT
    from rollsim.cli.weigh_reports import lean_answer
    from rollsim.measured import LeanStep, lean_test
    from rollsim.measured.branch import Branch, stated_moment_error, stated_reading_error

    readings = _Readings()
    track = None
    if arguments.track:
        track = readings.read("--track", arguments.track, ARCH_DISTANCE).value
    read = [
        (
            readings.read(option, mass, MOVED),
            readings.read(option, offset, RIGHT),
            _lean(readings, option, lean, track=track),
            branch,
        )
        for option, rows, branch in (
            ("--right", arguments.right, Branch.RISING),
            ("--left", arguments.left, Branch.FALLING),
        )
        for mass, offset, lean in rows
    ]
    steps = [LeanStep(m.value * at.value, lean.value, branch) for m, at, lean, branch in read]
    stated = _stated_error(readings, arguments.reading_error, LEAN_ERROR)
    if not steps:
        readings.errors.append(
            "--right, --left: found no reading; give each as a mass, an offset and a lean"
        )
    if (arguments.scenario is None) != (arguments.unknown is None):
        readings.errors.append("--scenario, --unknown: give both, or none")
    readings.stop_if_any()
    found = readings.guarded(
        lambda: lean_test(
            steps,
            reading_error=stated_reading_error(stated, [lean.tolerance for *_, lean, _ in read]),
            moment_error=stated_moment_error([row[0] for row in read], [row[1] for row in read]),
        )
    )
    if arguments.scenario is None:
        return lean_answer(found)
    return lean_answer(found, _calibrated(readings, arguments, found))


def _lean(readings: _Readings, option: str, text: str, *, track: float | None) -> "Quantity":
    """Lean as an angle, or from the height of the left arch over the right one."""
    from rollsim.cli.weigh_keys import ARCHES, LEAN
    from rollsim.measured import arch_lean
    from rollsim.units import Quantity

    if track is None:
        return readings.read(option, text, LEAN)
    difference = readings.read(option, text, ARCHES)
    lean = readings.guarded(lambda: arch_lean(difference.value, 0.0, track))
    return Quantity(float(lean), difference.tolerance / track)


def _calibrated(readings: _Readings, arguments: argparse.Namespace, found: "LeanResult") -> object:
    """The scenario's vehicle, one unknown put right by the test."""
    from rollsim import mass
    from rollsim.cli.weigh_keys import ABOARD
    from rollsim.measured import Unknown, calibrate, net_roll_stiffness
    from rollsim.measured.other_inputs import with_other_inputs
    from rollsim.scenario import load
    from rollsim.vehicle import Load

    unknowns = dict(zip(UNKNOWNS, Unknown, strict=True))
    scenario = load(arguments.scenario)
    job = scenario.job
    states = {state.name: state for state in mass.states(job)}
    name = arguments.state or mass.AS_WEIGHED
    if name not in states:
        allowed = ", ".join(states)
        readings.errors.append(f"--state: found {name!r}; allowed {allowed}")
    moved = None
    if arguments.aboard:
        pairs = zip(arguments.aboard, ABOARD, strict=True)
        sizes = (readings.read("--aboard", *pair).value for pair in pairs)
        moved = Load("lean test", *sizes)
    readings.stop_if_any()
    measured: Estimate = found.net_roll_stiffness
    predict, unknown = net_roll_stiffness(states[name], moved), unknowns[arguments.unknown]
    right = readings.guarded(lambda: calibrate(job, unknown, measured, predict=predict))
    if unknown is not Unknown.CG_HEIGHT:
        return right
    return with_other_inputs(right, measured, scenario.tolerances, predict=predict)
