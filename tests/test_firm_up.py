"""How sure the lean is, on the page: the figures of the samples, the inputs in order."""

import math
import re
from pathlib import Path

import numpy as np
import pytest
from streamlit.testing.v1 import AppTest

from rollsim.page.bars import default_rank
from rollsim.page.firm_up import _band_words
from rollsim.reader_units import figure
from rollsim.scenario import load
from rollsim.scenario.editing import changed
from rollsim.scenario.packing import packed
from rollsim.sizing import size
from rollsim.tolerance import band, influences, lean_samples, ordered

ROOT = Path(__file__).resolve().parents[1]


def opened(**query: str) -> AppTest:
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=90)
    for key, one in {"sure": "true", **query}.items():
        app.query_params[key] = one
    return app.run()


@pytest.mark.parametrize("name", ["wagon-roof-load", "high-roof-van"])
def test_the_band_and_the_inputs_are_those_of_the_samples(name):
    scenario = load(ROOT / "scenarios" / f"{name}.toml")
    app = opened(example=name)
    assert not app.exception
    said = "\n".join(m.value for m in app.markdown).replace("\\", "")
    sizing = size(scenario.job, scenario.rear_bar)
    one = sizing.candidates[default_rank(sizing)]
    hung = scenario.rear_bar
    bar = ordered(one, hung)
    case = sizing.case
    known = scenario.tolerances
    found = band(lean_samples(scenario.job, known, case, bar=bar))
    low, high = figure(found.low, "deg/g"), figure(found.high, "deg/g")
    assert f"leans {low} to {high} deg/g at 0.4 g" in said
    # The answer says where the bar misses too often, by the samples of bar and target.
    at = scenario.job.target.at
    with_bar = lean_samples(scenario.job, known, case, at=at, bar=bar)
    share = np.mean(with_bar / lean_samples(scenario.job, known, "unladen", at=at) <= 1.05)
    (answer,) = (one.value for one in app.warning if "Fit 25 mm" in one.value)
    assert ("It may not be enough: " in answer) == (share < 0.8) == (name == "wagon-roof-load")
    assert share > 0.95 or f"only {share:.0%}".replace("%", " % of cases") in answer
    first = influences(scenario.job, known, case, bar=bar)[0]
    table = next(t.value for t in app.table if "share of the spread" in t.value.columns)
    assert first.key == "vehicle.cg_height"
    assert table["input"].iloc[0] == "vehicle, CG height (centre of gravity)"
    assert table["share of the spread"].iloc[0] == f"{first.share:.0%}"
    assert all(table["how to measure it"])


def test_without_tolerances_it_asks_for_them():
    text = (ROOT / "scenarios" / "crew-cab-touring.toml").read_text("utf-8")
    plain = re.sub(r" ± [^\"]+", "", text)
    assert "±" not in plain
    app = opened(scenario=packed(plain))
    assert not app.exception
    assert any("No input has a tolerance" in caption.value for caption in app.caption)


def test_a_tolerance_that_is_not_carried_is_named_with_its_reason():
    text = (ROOT / "scenarios" / "crew-cab-touring.toml").read_text("utf-8")
    typed = {
        "rear.spring.second_stage.after": "55 mm ± 5 mm",
        "rear.spring.friction": "0.07 ± 0.02",
        "rear.tyre.rated_load": "900 kg ± 20 kg",
    }
    app = opened(scenario=packed(changed(text, typed)))
    assert not app.exception
    said = [caption.value.replace("\\", "") for caption in app.caption]
    named = [line for line in said if line.startswith("Tolerances not carried to the lean")]
    assert named == [
        "Tolerances not carried to the lean: rear, spring, friction (friction parts leaning in "
        "from leaning back and leaves their middle, the lean).",
        "Tolerances not carried to the lean: rear, tyre, rated load (a tyre's rated load bears on "
        "its grip alone).",
    ]


@pytest.mark.parametrize(
    ("ends", "said"),
    [
        ((0.01, 0.012), "leans 5.62 to 6.74 deg/g at 0.4 g with this bar (nine"),
        ((0.01, math.inf), "leans 5.62 deg/g or more at 0.4 g with this bar, or tips before it"),
        ((math.inf, math.inf), "tips before 0.4 g with this bar (nine"),
    ],
)
def test_a_band_without_an_end_says_that_it_may_tip(ends, said):
    assert said in _band_words("touring", ends, with_bar=True)
