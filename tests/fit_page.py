"""What the tests of the page Fit a bar share: the page, its tables and pictures."""

import functools
import re
from pathlib import Path

import pandas as pd
from streamlit.testing.v1 import AppTest

from rollsim.page import answers, bars
from rollsim.page.answers import Bend
from rollsim.scenario import Scenario
from rollsim.scenario.packing import packed
from rollsim.sizing import Sizing, size

ROOT = Path(__file__).resolve().parents[1]
FILES = {path.stem: path for path in sorted((ROOT / "scenarios").glob("*.toml"))}
EXAMPLES = tuple(FILES)
WITH_A_BAR = tuple(stem for stem, path in FILES.items() if "[rear_bar]" in path.read_text("utf-8"))
TOURING, GATE, BEYOND = "crew-cab-touring", "balance-gate-binds", "beyond-a-bar"
VAN, LOW_CAR = "high-roof-van", "low-car"
UNLIKE = (TOURING, GATE, BEYOND, VAN, LOW_CAR, "independent-rear-with-bar")
"""One of each outcome and kind of axle: a page takes seconds; command and sheet show them all."""
UNLIKE_WITH_A_BAR = tuple(stem for stem in UNLIKE if stem in WITH_A_BAR)
TITLES = {path.stem: title for title, path in answers.scenario_files(ROOT / "scenarios").items()}
EVERY_BAR, THIS_BAR, STATES = "Every bar", "This bar", "States and ratings"
LEAN = "lean (roll angle), deg"
WHEELS = ("front_left", "front_right", "rear_left", "rear_right")


def page(example: str = "", **query: str) -> AppTest:
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60)
    for key, asked in {"example": example, "units": "metric", **query}.items():
        if asked:
            app.query_params[key] = asked
    return app.run()


@functools.cache
def opened(example: str, part: str = STATES) -> AppTest:
    """The page of an example with the wheel loads and one tab open; only to be read."""
    return page(example, wheels="true", part=part)


def words(app: AppTest) -> str:
    """All text of the page, as a reader sees it."""
    found = [*app.title, *app.header, *app.subheader, *app.markdown, *app.caption]
    found += [*app.info, *app.warning, *app.error]
    return re.sub(r"\\(?=[\W_])", "", "\n".join(element.value for element in found))


@functools.cache
def answered(path: Path, bend: Bend = Bend.LEFT, rank: int | None = None) -> answers.Answer:
    """What the page shows of a file: with the bar of that place, or the one it shows first."""
    read = answers.read(path.read_text(encoding="utf-8"), path.name, path.parent)
    before = answers.states(read.scenario, bend=bend)
    if read.sizing is None:
        return answers.Answer(read.scenario, None, bend, before)
    bar = read.sizing.candidates[bars.default_rank(read.sizing) if rank is None else rank]
    after = answers.states(read.scenario, bar, bend)
    return answers.Answer(read.scenario, read.sizing, bend, before, bar, after)


def figures(app: AppTest, suffix: str = "") -> dict[str, list[str]]:
    """Columns of the table of states that end so, by the name of the state."""
    table = states_of(app)
    return {name.removesuffix(suffix): list(table[name]) for name in table if name.endswith(suffix)}


def states_of(app: AppTest) -> pd.DataFrame:
    """The table of states."""
    return next(t.value for t in app.table if "CG height, mm" in t.value.index)


def ranked(app: AppTest) -> pd.DataFrame:
    """The table of the bars at hand."""
    return app.dataframe[0].value


def wheels_of(app: AppTest) -> pd.DataFrame:
    """The table of lean, wheel loads and wheel arches."""
    return next(t.value for t in app.table if LEAN in t.value.index)


def compared(app: AppTest) -> pd.DataFrame:
    """The empty vehicle beside the loaded one."""
    return next(t.value for t in app.table if "tipping point, g" in t.value.index[:5])


def picture_of(app: AppTest) -> str:
    return next(m.value for m in app.markdown if "<svg" in m.value)


def sized(scenario: Scenario) -> Sizing | None:
    return None if scenario.rear_bar is None else size(scenario.job, scenario.rear_bar)


def choose(app: AppTest, example: str) -> None:
    """Another vehicle, by the choice at the top."""
    app.selectbox(key="frame:choice").set_value(TITLES[example]).run()


def with_text(text: str) -> answers.Answer:
    """What the page shows of a text, with the bar it shows first."""
    read = answers.read(text, "own.toml", ROOT / "scenarios")
    bar = read.sizing.candidates[bars.default_rank(read.sizing)]
    before, after = (answers.states(read.scenario, one) for one in (None, bar))
    return answers.Answer(read.scenario, read.sizing, Bend.LEFT, before, bar, after)


def own(text: str, **query: str) -> AppTest:
    """The page on a text of one's own, as a link carries it."""
    return page(scenario=packed(text), **query)


def words_of_the_file(app: AppTest) -> str:
    """What the loader says in the units of the file: assumed values and the bar replaced."""
    return "\n".join(m.value for m in app.markdown if "class default" in m.value)


def from_the_file(line: str) -> bool:
    return "The new bar replaces" in line or "(class default" in line or "common practice" in line


def dash_names(chart: dict) -> list[str]:
    """Legend of the chart."""
    return chart["layer"][0]["encoding"]["strokeDash"]["scale"]["domain"]
