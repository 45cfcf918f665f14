"""`--plot FILE`: what a command answers, as a picture. matplotlib is loaded for it, not before."""

import argparse
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from rollsim.bar_range import Summary
    from rollsim.reader_units import UnitSystem
    from rollsim.road_answer import RoadAnswer
    from rollsim.scenario import Scenario
    from rollsim.sizing import Sizing
    from rollsim.spring_check import SpringCheck

ENDINGS = (".png", ".svg", ".pdf")


def add_plot(command: argparse.ArgumentParser, what: str) -> None:
    """Add `--plot` to a command; `what` is what the picture shows."""
    command.add_argument(
        "--plot",
        type=_picture,
        metavar="FILE",
        help=f"draw it as well: {what}; FILE ends in .png, .svg or .pdf, one that is there is "
        "replaced",
    )


def _picture(text: str) -> Path:
    path = Path(text)
    if path.suffix.lower() not in ENDINGS:
        raise argparse.ArgumentTypeError(
            f"found {text!r}; allowed a name that ends in .png, .svg or .pdf"
        )
    return path


def check_plot(plot: Path | None, others: Sequence[Path | None]) -> None:
    """Refuse a picture that cannot be drawn, or would take the place of another file.

    Raises ScenarioError where it is one of the others (scenario, log, output), and
    MissingLibraryError where what draws it is not installed.
    """
    from rollsim.cli.missing import need
    from rollsim.cli.writing import spare

    if plot is None:
        return
    need("--plot", "matplotlib")
    spare(plot, others, option="--plot")


def plot_roll(path: Path | None, scenario: "Scenario", system: "UnitSystem") -> tuple[str, ...]:
    """Draw what `rollsim roll` answers, and say in a sentence what was written.

    Nothing where `path` is None: no picture was asked for.
    """
    if path is None:
        return ()
    from rollsim import roll
    from rollsim.plots.lean_curves import distinct, lateral_steps
    from rollsim.reader_units import READER_UNITS

    shown = distinct(roll.results(scenario.job, lateral_steps))

    def draw() -> "Figure":
        from rollsim.plots.roll_picture import roll_picture

        names, units = _spoken([one.name for one in shown]), READER_UNITS[system]
        return roll_picture(shown, names, _title(scenario, "body roll"), units=units)

    return _written(path, draw)


def plot_size(
    path: Path | None, scenario: "Scenario", sizing: "Sizing", system: "UnitSystem"
) -> tuple[str, ...]:
    """Draw what `rollsim size` answers, and say in a sentence what was written.

    Nothing where `path` is None: no picture was asked for.
    """
    if path is None:
        return ()
    from rollsim.plots.bar_choice import bar_choice
    from rollsim.reader_units import READER_UNITS

    choice = bar_choice(sizing, scenario.job.limits, READER_UNITS[system])
    (case,) = _spoken([sizing.case])

    def draw() -> "Figure":
        from rollsim.plots.choice_picture import choice_picture

        return choice_picture(choice, _title(scenario, f"rear bars for {case}"))

    return _written(path, draw)


def plot_springs(
    path: Path | None, scenario: "Scenario", found: "Sequence[SpringCheck]", system: "UnitSystem"
) -> tuple[str, ...]:
    """Draw the travel that `rollsim springs` answers, and say what was written.

    Nothing where `path` is None: no picture was asked for.
    """
    if path is None:
        return ()
    from rollsim.plots.travel_used import travel_used
    from rollsim.reader_units import READER_UNITS

    states = travel_used(scenario.job, found)

    def draw() -> "Figure":
        from rollsim.plots.travel_picture import travel_picture

        names, units = _spoken([one.name for one in states]), READER_UNITS[system]
        return travel_picture(states, names, _title(scenario, "spring travel"), units=units)

    return _written(path, draw)


def plot_range(path: Path | None, found: "Summary") -> tuple[str, ...]:
    """Draw what fits how many, and say what was written; nothing where no picture was asked for."""
    if path is None:
        return ()

    def draw() -> "Figure":
        from rollsim.plots.range_picture import range_picture

        return range_picture(found)

    return _written(path, draw)


def plot_road_test(path: Path | None, scenario: "Scenario", found: "RoadAnswer") -> tuple[str, ...]:
    """Draw what `rollsim road-test` answers, and say in a sentence what was written.

    Nothing where `path` is None: not asked for. The answer must have a measured gradient.
    """
    if path is None:
        return ()
    (state,) = _spoken([found.state])

    def draw() -> "Figure":
        from rollsim.plots.road_picture import road_picture

        return road_picture(found, _title(scenario, f"road test, {state}"))

    return _written(path, draw)


def _spoken(names: Sequence[str]) -> list[str]:
    from rollsim.tell.names import state_words

    return [state_words(name) for name in names]


def _title(scenario: "Scenario", about: str) -> str:
    from rollsim.tell.names import clean

    return f"{clean(scenario.title)}: {about}"


def _written(path: Path, draw: "Callable[[], Figure]") -> tuple[str, ...]:
    from rollsim.cli.writing import write
    from rollsim.plots.canvas import as_bytes, house_style

    with house_style():
        data = as_bytes(draw(), path.suffix.lower().removeprefix("."))
    write(path, data, option="--plot")
    return (f"{path}: picture written.",)
