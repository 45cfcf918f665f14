"""Springs and weights opened, and readings of its bay tests."""

import functools
import math
import re
from pathlib import Path

import pandas as pd
from streamlit.testing.v1 import AppTest

from rollsim.page import bay_readings as bay
from rollsim.page import bay_sheet
from rollsim.reader_units import METRIC
from rollsim.scenario import loads

ROOT = Path(__file__).resolve().parents[1]
FILES = sorted((ROOT / "scenarios").glob("*.toml"))
PAGE = "rollsim/page/springs_weights.py"
TOURING, BEYOND, WAGON = "crew-cab-touring", "beyond-a-bar", "wagon-roof-load"


def page(example: str = "", **query: str) -> AppTest:
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=90)
    for key, asked in {"example": example, "units": "metric", **query}.items():
        if asked:
            app.query_params[key] = asked
    return app.switch_page(PAGE).run()


@functools.cache
def opened(stem: str) -> AppTest:
    """The page of an example as it first comes up; only to be read."""
    return page(stem)


def said(*elements) -> str:
    return re.sub(r"\\(?=[\W_])", "", "\n".join(e.value for each in elements for e in each))


def text_of(app: AppTest) -> str:
    return app.session_state["frame:text"]


TEXT = (ROOT / "scenarios" / f"{TOURING}.toml").read_text("utf-8")
FRONT_AXLE = loads(TEXT, "x.toml").job.vehicle.front


def table(app: AppTest, corner: str) -> pd.DataFrame:
    return next(t.value for t in app.table if t.value.index.name == corner)


# The readings below are made by hand from a known vehicle: 1130 and 860 kg on a wheelbase of
# 3085 mm, CG 690 mm up, all wheel centres at 370 mm.
WHEELBASE, FRONT, REAR, CG, RADIUS, G = 3.085, 1130.0, 860.0, 0.690, 0.370, 9.80665


def lifted_mass(lift: float) -> float:
    """On the front axle with the rear one lifted, suspension blocked: moments about its contact."""
    tangent = lift / math.sqrt(WHEELBASE**2 - lift**2)
    return FRONT + (FRONT + REAR) * tangent * (CG - RADIUS) / WHEELBASE


AXLE_LIFT = {
    "wheelbase": 3085.0,
    "front_mass": FRONT,
    "rear_mass": REAR,
    "front_radius": 370.0,
    "rear_radius": 370.0,
    "lift_1": 800.0,
    "raised_1": lifted_mass(0.8),
    "lift_2": 1000.0,
    "raised_2": lifted_mass(1.0),
    "mass_error": 4.0,
}
RATE, RUB = 36.0, 90.0  # N/mm and N of one side


def hub_to_arch(mass: float, sense: float) -> float:
    """[mm]: half the weight on a side, less or more what rubs."""
    return 520.0 - (0.5 * mass * G - sense * RUB) / RATE


STEPS = (("loading", (50, 100, 150, 200), 1.0), ("unloading", (150, 100, 50), -1.0))
LOAD_TEST = {
    f"{way}{part}_{n}": value
    for way, masses, sense in STEPS
    for n, mass in enumerate(masses, 1)
    for part, value in (("", float(mass)), ("_arch", hub_to_arch(mass, sense)))
}
NET, HOLDS = 1500.0, 60.0  # N·m/deg and N·m


def lean_readings(net: float = NET) -> dict[str, float]:
    """120 kg moved to 300 and 600 mm; at rest it leans 0.1 deg to the left."""
    out = (0.3, 0.6, 0.3, 0.0, -0.3, -0.6, -0.3, 0.0)
    senses = (1, 1, -1, -1, -1, -1, 1, 1)
    found = {"moved": 120.0, "half": 300.0, "full": 600.0}
    for n, (offset, sense) in enumerate(zip(out, senses, strict=True), 1):
        found[f"lean_{n}"] = -0.1 + (120.0 * G * offset - sense * HOLDS) / net
    return found


CORNERS_BEFORE = dict(zip(bay.CORNERS, (560.0, 570.0, 430.0, 430.0), strict=True))
CORNERS_AFTER = dict(zip(bay.CORNERS, (561.0, 567.0, 456.0, 436.0), strict=True))
ITEM = {f"before_{corner}": mass for corner, mass in CORNERS_BEFORE.items()}
ITEM |= {f"after_{corner}": mass for corner, mass in CORNERS_AFTER.items()}
ITEM |= {"item_height": 1250.0, "item_error": 2.0}


BLOCKS = bay.FRAME_TWIST.choices[0].options[0]
RIGID = {"bush_rate": bay.RIGID, "link_rate": bay.RIGID}
# The bar of the worked example in `rate_by_dimensions`: 28 mm, 130.3 N/mm.
BOUNCE = {"swing_1_1": 80.0, "swing_1_2": 29.78, "swing_1_3": 11.09}  # ζ 0.3, ln ratio 0.9880
# As the command's run in test_smoke.py has them.
TWIST = {"block": 125.0}
for _way, _masses, _levels in (
    ("first", (640.0, 470.0, 340.0, 540.0), (2.4, -0.2, 2.1)),
    ("second", (470.0, 640.0, 540.0, 340.0), (-2.2, 0.4, -1.9)),
):
    TWIST |= {f"{_way}_{corner}": m for corner, m in zip(bay.CORNERS, _masses, strict=True)}
    TWIST |= {f"{_way}_{at}": x for at, x in zip(("front", "rear", "cab"), _levels, strict=True)}
BAR = {"diameter": 28.0, "lever": 260.0, "centre": 940.0, "bushes": 820.0, "ratio": 0.58}


def fill_in(app: AppTest, test: bay.BayTest, values: dict[str, float]) -> None:
    for one in test.readings:
        if one.key in values:
            key = f"bay:{test.key}:{one.key}:{bay_sheet.unit_of(one, METRIC, {})}"
            app.text_input(key=key).set_value(f"{values[one.key]:.12g}")


def si(test: bay.BayTest, values: dict[str, float]) -> dict[str, float | None]:
    per = {
        bay.Kind.MASS: 1.0,
        bay.Kind.RATIO: 1.0,
        bay.Kind.LENGTH: 1e-3,
        bay.Kind.ANGLE: math.radians(1.0),
    }
    return {
        one.key: values[one.key] * per[one.kind] if one.key in values else None
        for one in test.readings
    }
