"""What the page shows of one scenario file: every state, now and with the bar that is selected."""

from dataclasses import dataclass, replace
from enum import Enum
from functools import lru_cache
from pathlib import Path

from rollsim.mass import names_with_bar
from rollsim.plots.lean_curves import distinct, lateral_steps
from rollsim.reader_units import METRIC, ReaderUnits, figure
from rollsim.roll import StateResult, results
from rollsim.scenario import Scenario, loads
from rollsim.scenario.bounds import parsed
from rollsim.sizing import Candidate, Sizing, size
from rollsim.sizing.choice import fitted
from rollsim.units import to_unit

SMALLEST_LEAN = 0.005  # deg: less reads 0.00


class Bend(Enum):
    """Which way the road goes."""

    LEFT = "left"
    RIGHT = "right"

    @property
    def outside(self) -> "Bend":
        """The other side, where the body leans to."""
        return Bend.RIGHT if self is Bend.LEFT else Bend.LEFT


@dataclass(frozen=True, slots=True)
class Sized:
    """A scenario and its sizing; None where it has no bar to be sized."""

    scenario: Scenario
    sizing: Sizing | None


@dataclass(frozen=True, slots=True)
class Answer:
    """One scenario, answered for one bar in one bend.

    The curves are for `bend`. `before` is every state now, `after` every state with `bar`; without
    a bar it is empty. `sizing` is None where the scenario has no bar to be sized.
    """

    scenario: Scenario
    sizing: Sizing | None
    bend: Bend
    before: tuple[StateResult, ...]
    bar: Candidate | None = None
    after: tuple[StateResult, ...] = ()
    units: ReaderUnits = METRIC


def scenario_files(folder: Path) -> dict[str, Path]:
    """Scenario files by their titles, in the order of the file names.

    An unreadable file goes by its name.
    """
    found: dict[str, Path] = {}
    for path in sorted(folder.glob("*.toml")):
        try:
            name = _title_in(path, path.stat().st_mtime_ns)
        except (OSError, ValueError):
            name = path.name
        found[f"{name} ({path.name})" if name in found else name] = path
    return found


@lru_cache(maxsize=256)
def _title_in(path: Path, _changed: int) -> str:
    """Kept until the file changes: every run of a page lists them."""
    return title(path.read_text(encoding="utf-8"), path.name)


def title(text: str, name: str) -> str:
    """Title of a scenario text; its file name where it has none or cannot be read."""
    try:
        return str(parsed(text).get("title", name))
    except ValueError:
        return name


def read(text: str, name: str, folder: Path) -> Sized:
    """Read a scenario and size its bar.

    `name` is the file's, for errors; in `folder` the CSV of a measured spring may stand. Raises
    ScenarioError with every error of the text.
    """
    scenario = loads(text, name, folder)
    bar = scenario.rear_bar
    return Sized(scenario, None if bar is None else size(scenario.job, bar, scenario.front_bar))


def states(
    scenario: Scenario, bar: Candidate | None = None, bend: Bend = Bend.LEFT
) -> tuple[StateResult, ...]:
    """Every state in one bend, each curve up to its tipping point in steps of 0.05 g.

    The rear bar takes the place of the one on the vehicle. Roll and wheels are as the vehicle has
    them, in a right bend too.
    """
    fit = None if bar is None else fitted(bar, scenario.rear_bar)
    seen = None if scenario.rear_bar is None else names_with_bar(scenario.job)
    turned = bend is Bend.RIGHT
    found = results(scenario.job, lateral_steps, fit, only=seen, mirrored=turned)
    return tuple(_turned_back(result) for result in found) if turned else found


def _turned_back(result: StateResult) -> StateResult:
    """From the mirrored vehicle to the real one: its left is left again."""
    curve = tuple(
        replace(
            p,
            roll_angle=-p.roll_angle,
            wheel_loads=_swapped(p.wheel_loads),
            spring_travel=_swapped(p.spring_travel),
            arch_rise=_swapped(p.arch_rise),
            axle_roll=(-p.axle_roll[0], -p.axle_roll[1]),
            tray_roll_angle=-p.tray_roll_angle,
        )
        for p in result.curve
    )
    return replace(
        result,
        static_lean=-result.static_lean,
        tray_static_lean=-result.tray_static_lean,
        secant_roll_gradient=result.right_secant_roll_gradient,
        right_secant_roll_gradient=result.secant_roll_gradient,
        tray_secant_roll_gradient=result.right_tray_secant_roll_gradient,
        right_tray_secant_roll_gradient=result.tray_secant_roll_gradient,
        curve=curve,
    )


def _swapped(loads: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    front_left, front_right, rear_left, rear_right = loads
    return front_right, front_left, rear_right, rear_left


def harder_bend(found: Answer) -> Bend | None:
    """The bend in which it leans more, by an off-centre load or a track bar.

    Of the state whose bends differ most; None where none do.
    """
    further = max((result.further_left for result in found.before), key=abs)
    if abs(to_unit(further, "deg")) < SMALLEST_LEAN:
        return None
    return Bend.LEFT if further > 0.0 else Bend.RIGHT


def bend_words(found: Answer) -> str:
    """Which bend the figures are for; empty where both are alike."""
    harder = harder_bend(found)
    if harder is None:
        return ""
    lean = max((result.static_lean for result in found.before), key=abs)
    why = "Left and right bends differ: it"
    if abs(to_unit(lean, "deg")) >= SMALLEST_LEAN and (lean > 0.0) is (harder is Bend.LEFT):
        why = (
            f"An off-centre load leans it {figure(abs(lean), 'deg')} deg to the "
            f"{harder.outside.value} at rest, so it"
        )
    return (
        f"{why} leans more in a {harder.value} bend. Lean, wheel loads and curves are for a "
        f"{found.bend.value} bend; wheel lift, tipping point and tilt table are the worse of both."
    )


def choices(found: Answer) -> tuple[str, ...]:
    """States that can be looked at, the one sized for first, the unladen one last.

    "as_weighed" only where it is not one of the others.
    """
    unladen, *others = (result.name for result in distinct(found.before))
    first = found.before[2].name if found.sizing is None else found.sizing.case
    return (*sorted(others, key=lambda name: name != first), unladen)


def named(found: tuple[StateResult, ...], name: str) -> StateResult:
    """The state of that name."""
    return next(result for result in found if result.name == name)


def droop_is_assumed(scenario: Scenario) -> bool:
    """Whether full droop of an axle is a class default, so that nobody measured it."""
    keys = ("front.rebound_limit", "rear.rebound_limit")
    return any(line.startswith(keys) for line in scenario.assumed)
