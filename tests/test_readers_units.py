"""Every page in the reader's units: no metric figure for an imperial reader, nor the other way.

What a file holds stays as it was typed there: in its fields, in quotation marks, and the sections
that it names, which are bought by that name: rods, tubes, a range of them.
The page Method shows the documentation, in SI.
"""

import re
from collections.abc import Iterator
from pathlib import Path

import pandas as pd
import pytest
from streamlit.testing.v1 import AppTest
from tomlkit import dumps

from rollsim.cli import main
from rollsim.page.fields import GROUPS
from rollsim.reader_units import READER_UNITS, UnitSystem, in_units
from rollsim.scenario import loads
from tests.pairs import data_of

ROOT = Path(__file__).resolve().parents[1]
METRIC_FILE, IMPERIAL_FILE, DEFAULTS = (
    *("crew-cab-touring", "crew-cab-touring-imperial"),
    "high-roof-van",
)
NUMBER, NO_MORE = r"(?<![\w.])[\d.]*\d", r"(?![\w/*^·²]| solid)"
TUBE = r"[\d.]+ (?:mm|in) x [\d.]+ (?:mm|in)"
METRIC = rf"{NUMBER} ?(?:kg|mm|cm|m|N|kN|N/mm|kN/mm|N[·*]m/deg|MPa|GPa){NO_MORE}"
IMPERIAL = rf"{NUMBER} ?(?:lb|lbf|in|ft|lbf/in|lbf[·*]in/deg|ksi|psi){NO_MORE}"
IN_A_HEADING = r", (?:{})$"  # the unit of a box, a row or a column
OF_THE_FILE = ("text_input.value", "text_area.value", "expander.label")  # a fold tells its fields
WORDS = ("label", "value", "help", "placeholder")


def opened(name: str, example: str, units: str, **query: str) -> AppTest:
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60)
    for key, asked in {"example": example, "units": units, **query}.items():
        app.query_params[key] = asked
    app.switch_page(f"rollsim/page/{name}.py")
    app.run()
    assert not app.exception
    return app


def texts(element: object) -> Iterator[tuple[str, str]]:
    """Every text below an element, with the kind and part that it is of."""
    for child in getattr(element, "children", {}).values():
        yield from texts(child)
    kind = getattr(element, "type", "")
    for part in WORDS if not getattr(element, "children", None) else ("label",):
        held = getattr(element, part, None)
        if isinstance(held, str):
            yield f"{kind}.{part}", held
        elif isinstance(held, pd.DataFrame):
            cells = [*held.columns, *held.index, *held.to_numpy().ravel()]
            yield from ((f"{kind}.cell", str(cell)) for cell in cells)
    for option in getattr(element, "options", None) or ():
        yield f"{kind}.option", str(option)


def in_the_others_units(app: AppTest, units: str) -> list[str]:
    """Lines with a figure in a unit that this reader does not use."""
    figure = re.compile(METRIC if units == "imperial" else IMPERIAL)
    other = "kg|mm|N|N/mm|N·m/deg|MPa" if units == "imperial" else "lb|in|lbf|lbf/in|ksi"
    heading = re.compile(IN_A_HEADING.format(other))
    found = []
    for kind, held in texts(app._tree):
        if kind in OF_THE_FILE:
            continue
        shown = re.sub(r"<[^>]*?(?:aria-label=\"([^\"]*)\")?[^>]*>", r"\n\1\n", held)
        lines = re.sub(rf'"[^"]*"|{TUBE}', "", shown.replace("\\", "")).splitlines()
        found += [f"{kind}: {one}" for one in lines if figure.search(one) or heading.search(one)]
    return found


@pytest.mark.parametrize("name", ["carry", "springs_weights", "see_why", "road_test", "shop"])
@pytest.mark.parametrize(("units", "example"), [("imperial", DEFAULTS), ("metric", IMPERIAL_FILE)])
def test_a_page_is_in_the_readers_units(name, units, example):
    assert in_the_others_units(opened(name, example, units), units) == []


@pytest.mark.parametrize(
    "part", ["Every bar", "This bar", "Curves", "States and ratings"], ids=lambda part: part
)
def test_fit_a_bar_is_in_the_readers_units(part):
    query = {"mine": "true", "sure": "true", "wheels": "true", "part": part}
    for units, example in (("imperial", DEFAULTS), ("metric", IMPERIAL_FILE)):
        app = opened("fit", example, units, **query)
        assert in_the_others_units(app, units) == []


@pytest.mark.parametrize(
    ("units", "example"), [("imperial", METRIC_FILE), ("metric", IMPERIAL_FILE)]
)
def test_the_page_vehicle_is_in_the_readers_units(units, example):
    app = opened("vehicle", example, units)
    for words in GROUPS.values():
        app.radio(key="group").set_value(words).run()
        assert in_the_others_units(app, units) == []
    fault = "9 m" if units == "imperial" else "9 ft"
    app.radio(key="group").set_value("Front axle").run()
    app.text_input(key="vehicle:field:front.track").set_value(fault).run()
    assert app.error
    assert in_the_others_units(app, units) == []


def test_the_search_finds_what_it_is_for():
    """The same pages for the other reader are full of it."""
    for units, other in (("imperial", "metric"), ("metric", "imperial")):
        app = opened("carry", METRIC_FILE, units)
        assert len(in_the_others_units(app, other)) > 20


def test_a_tube_that_is_on_the_vehicle_keeps_its_name():
    data = data_of(METRIC_FILE, section="27 mm x 4 mm", arm_holes=["340 mm"])
    (note,) = (one for one in loads(dumps(data), "tube.toml").notes if "27 mm x 4 mm" in one)
    said = in_units(note, READER_UNITS[UnitSystem.IMPERIAL])
    assert "27 mm x 4 mm bar with 13.4 in arms" in said  # 340/25.4
    assert not re.search(METRIC, re.sub(TUBE, "", said))


def test_a_range_of_sections_keeps_its_name():
    imperial = READER_UNITS[UnitSystem.IMPERIAL]
    assert in_units("EN 10305-1 tubes 20-36 mm", imperial) == "EN 10305-1 tubes 20-36 mm"


@pytest.mark.parametrize("command", ["roll", "size", "springs"])
def test_the_command_has_no_metric_figure_for_an_imperial_reader(command, capsys):
    assert main([command, str(ROOT / f"scenarios/{DEFAULTS}.toml"), "--units", "imperial"]) == 0
    said = re.sub(r'"[^"]*"', "", " ".join(capsys.readouterr().out.split()))
    assert "Assumed, not measured" in said
    assert re.findall(METRIC, re.sub(TUBE, "", said)) == []
