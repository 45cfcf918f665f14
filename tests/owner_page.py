"""The owner's page in AppTest, and what it shows of a scenario at first, worked out beside it."""

import re
from pathlib import Path

from streamlit.testing.v1 import AppTest

from rollsim.mass import states
from rollsim.page import bends, carried
from rollsim.scenario import load

ROOT = Path(__file__).resolve().parents[1]
FILES = sorted((ROOT / "scenarios").glob("*.toml"))
PAGE = "rollsim/page/carry.py"
AT = bends.lateral_acceleration(25.0, 35.0 / 3.6)
TOURING, BEYOND = "crew-cab-touring", "beyond-a-bar"


def page(example: str = "", **query: str) -> AppTest:
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60)
    for key, value in {"example": example, **query}.items():
        if value:
            app.query_params[key] = value
    return app.switch_page(PAGE).run()


def scenario_file(name: str) -> Path:
    return ROOT / f"scenarios/{name}.toml"


def unescaped(text: str) -> str:
    return re.sub(r"\\(?=[\W_])", "", text)


def text_of(app: AppTest) -> str:
    return app.session_state["frame:text"]


def words(app: AppTest) -> str:
    """All text of the page under its title, as a reader sees it."""
    found = [e.value for e in (*app.header, *app.markdown, *app.caption, *app.info, *app.warning)]
    found += [e.value for e in app.error]
    inputs = (
        *app.text_input,
        *app.slider,
        *app.button,
        *app.selectbox,
        *app.radio,
        *app.expander,
    )
    found += [e.label for e in inputs if e.label != "Vehicle and its load"]
    for table in app.table:
        found += [*map(str, table.value.columns), *map(str, table.value.to_numpy().ravel())]
    for select in app.selectbox:
        if select.label != "Vehicle and its load":
            found += select.options
    return unescaped("\n".join(found))


def shown(path: Path, lateral: float = AT) -> carried.Carried:
    """What the page shows of a scenario at first: the load that weighs most up high."""
    scenario = load(path)
    heaviest = max(
        states(scenario.job)[2:], key=lambda s: sum(load.mass * load.height for load in s.loads)
    )
    return carried.carried(scenario, heaviest.name, lateral)
