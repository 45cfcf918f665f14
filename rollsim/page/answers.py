"""What the page shows of one scenario file: every state, now and with the chosen bar."""

import tomllib
from dataclasses import dataclass
from pathlib import Path

from rollsim import mass
from rollsim.charts import LeanCurve
from rollsim.cli.tables import state_words
from rollsim.drawing import Cargo, RearView, no_view, rear_view, roof_height
from rollsim.reader_units import METRIC, figure
from rollsim.roll import CurvePoint, StateResult, results
from rollsim.scenario import Scenario, loads
from rollsim.sizing import Sizing, size
from rollsim.sizing.choice import fitted
from rollsim.units import to_unit
from rollsim.vehicle import STANDARD_GRAVITY, Job, Place
from rollsim.wording import choice_words, gate_words, help_words

STEPS_PER_G = 20
LARGEST_ON_CHART = 1.2  # g
CURVE = tuple(
    n / STEPS_PER_G * STANDARD_GRAVITY for n in range(round(LARGEST_ON_CHART * STEPS_PER_G) + 1)
)
HEAVIEST_WHEEL_SHARE = 0.42  # of the weight, for the length of the arrows only
HEAD_ROOM = 0.3  # m
WITH_BAR = "with bar"


@dataclass(frozen=True, slots=True)
class Answer:
    """One scenario, answered.

    Parameters
    ----------
    scenario : Scenario
        As read.
    before, after : tuple of StateResult
        Every state now, and with the chosen bar; `after` is empty where there is none.
    sizing : Sizing or None
        None where the scenario has no bar to be sized.
    """

    scenario: Scenario
    before: tuple[StateResult, ...]
    after: tuple[StateResult, ...]
    sizing: Sizing | None


@dataclass(frozen=True, slots=True)
class View:
    """One state at one lateral acceleration; the point is None where it has tipped."""

    title: str
    result: StateResult
    point: CurvePoint | None


def scenario_files(folder: Path) -> dict[str, Path]:
    """Scenario files by their titles.

    Parameters
    ----------
    folder : Path
        Where they stand.

    Returns
    -------
    dict
        Title to file, in the order of the file names; an unreadable file goes by its name.
    """
    found: dict[str, Path] = {}
    for path in sorted(folder.glob("*.toml")):
        try:
            title = str(tomllib.loads(path.read_text(encoding="utf-8")).get("title", path.name))
        except (OSError, ValueError):
            title = path.name
        found[f"{title} ({path.name})" if title in found else title] = path
    return found


def answer(text: str, name: str, folder: Path) -> Answer:
    """Read a scenario and compute all that the page shows of it.

    Parameters
    ----------
    text : str
        The file's text.
    name : str
        Its name, for errors.
    folder : Path
        Where the CSV of a measured spring may stand.

    Returns
    -------
    Answer
        In SI, curves from 0 to 1.2 g in steps of 0.05 g.

    Raises
    ------
    ScenarioError
        With every error of the text.
    """
    scenario = loads(text, name, folder)
    before = results(scenario.job, CURVE)
    if scenario.rear_bar is None:
        return Answer(scenario, before, (), None)
    sizing = size(scenario.job, scenario.rear_bar)
    if sizing.choice is None:
        return Answer(scenario, before, (), sizing)
    after = results(scenario.job, CURVE, fitted(sizing.choice, scenario.rear_bar))
    return Answer(scenario, before, after, sizing)


def headline(found: Answer) -> str:
    """The answer in one sentence.

    Parameters
    ----------
    found : Answer
        From `answer`.

    Returns
    -------
    str
        The choice of bar, or why there is none; without a bar to size, the lean before and after.
    """
    if found.sizing is not None:
        return choice_words(found.sizing, METRIC)
    unladen, most = found.before[0], max(found.before[2:], key=lambda r: r.roll_gradient)
    return (
        f'No bar to size: the scenario has no [rear_bar]. "{state_words(most.name)}" leans '
        f"{figure(most.roll_gradient, 'deg/g')} deg/g, unladen "
        f"{figure(unladen.roll_gradient, 'deg/g')} deg/g."
    )


def remarks(found: Answer) -> tuple[str, ...]:
    """What belongs right under the answer: balance gate, other help, bar replaced, assumptions.

    Parameters
    ----------
    found : Answer
        From `answer`.

    Returns
    -------
    tuple of str
        Sentences.
    """
    count, sizing = len(found.scenario.assumed), found.sizing
    assumed = (f"Values assumed, not measured: {count}, listed below.",) if count else ()
    if sizing is None:
        return assumed
    gate = () if sizing.gate is None else (gate_words(sizing, METRIC),)
    helps = tuple(_sentence(help_words(help_, METRIC)) for help_ in sizing.helps)
    replaced = (f"The new bar replaces: {sizing.replaces}.",) if sizing.replaces else ()
    return (*gate, *helps, *replaced, *assumed)


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."


def choices(found: Answer) -> tuple[str, ...]:
    """States to set beside the unladen one, the one sized for first.

    Parameters
    ----------
    found : Answer
        From `answer`.

    Returns
    -------
    tuple of str
        Names; "as_weighed" only where it is not one of the others.
    """
    cases = [result.name for result in _distinct(found)[1:]]
    first = found.before[2].name if found.sizing is None else found.sizing.case
    return tuple(sorted(cases, key=lambda name: name != first))


def views(found: Answer, case: str, lateral_g: float) -> tuple[View, ...]:
    """Unladen, the case, and the case with the bar, at one lateral acceleration.

    Parameters
    ----------
    found : Answer
        From `answer`.
    case : str
        One of `choices`.
    lateral_g : float
        A multiple of 0.05 [g].

    Returns
    -------
    tuple of View
        Two, or three where a bar is chosen.
    """
    now = _named(found.before, case)
    shown = [("unladen", found.before[0]), (state_words(case), now)]
    if found.after:
        shown.append((f"{state_words(case)}, {WITH_BAR}", _named(found.after, case)))
    return tuple(View(title, result, _point(result, lateral_g)) for title, result in shown)


def picture(found: Answer, view: View) -> str:
    """One view as a picture from behind.

    Parameters
    ----------
    found : Answer
        From `answer`.
    view : View
        One of `views`.

    Returns
    -------
    str
        An `<svg>` element.
    """
    if view.point is None:
        tip = figure(view.result.tip_over_threshold, "g")
        return no_view(view.title, f"tipped: it tips at {tip} g", _height_shown(found))
    job = found.scenario.job
    state = next(s for s in mass.states(job) if s.name == view.result.name)
    rear = job.vehicle.rear
    weight = max(r.total_mass for r in found.before) * STANDARD_GRAVITY
    return rear_view(
        RearView(
            title=view.title,
            roll_angle=view.point.roll_angle,
            heave=view.point.heave,
            wheel_loads=view.point.wheel_loads,
            full_load=weight * HEAVIEST_WHEEL_SHARE,
            track=rear.track,
            tyre_radius=rear.unsprung_cg_height,
            roll_centre_height=rear.roll_centre_height,
            roof_height=_roof(job),
            cg_height=view.result.cg_height,
            height_shown=_height_shown(found),
            cargo=tuple(Cargo(o.left_of_centreline, o.height, o.mass) for o in state.loads),
        )
    )


def _height_shown(found: Answer) -> float:
    """Room for the roof and for the highest load of any state, lifted."""
    job = found.scenario.job
    highest = max((load.height for load in job.loads), default=0.0)
    return max(_roof(job), highest) + HEAD_ROOM


def _roof(job: Job) -> float:
    on_roof = [load.height for load in job.loads if load.place is Place.ROOF]
    return roof_height(job.vehicle.cg_height, on_roof)


def lean_curves(found: Answer, case: str) -> tuple[LeanCurve, ...]:
    """Every state's lean, and the case's with the bar.

    Parameters
    ----------
    found : Answer
        From `answer`.
    case : str
        One of `choices`.

    Returns
    -------
    tuple of LeanCurve
        "as_weighed" only where it is not one of the others [g, deg].
    """
    shown = [(state_words(result.name), result) for result in _distinct(found)]
    if found.after:
        shown.append((f"{state_words(case)}, {WITH_BAR}", _named(found.after, case)))
    return tuple(_curve(title, result) for title, result in shown)


def _curve(title: str, result: StateResult) -> LeanCurve:
    tip = float(to_unit(result.tip_over_threshold, "g"))
    return LeanCurve(
        title,
        tuple(round(float(to_unit(p.lateral_acceleration, "g")), 2) for p in result.curve),
        tuple(float(to_unit(p.roll_angle, "deg")) for p in result.curve),
        tip if tip <= LARGEST_ON_CHART else None,
    )


def _named(found: tuple[StateResult, ...], name: str) -> StateResult:
    return next(result for result in found if result.name == name)


def _distinct(found: Answer) -> tuple[StateResult, ...]:
    """The states now, without as-weighed where it is the unladen state or a load case."""
    unladen, weighed, *cases = found.before
    twin = any(_same(weighed, other) for other in (unladen, *cases))
    return (unladen, *cases) if twin else found.before


def _same(one: StateResult, other: StateResult) -> bool:
    return one.curve == other.curve and one.total_mass == other.total_mass


def _point(result: StateResult, lateral_g: float) -> CurvePoint | None:
    number = round(lateral_g * STEPS_PER_G)
    wanted = (p for p in result.curve if p.lateral_acceleration == CURVE[number])
    return next(wanted, None)
