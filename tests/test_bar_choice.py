"""The picture of the choice on the page Fit a bar: what it draws, what a click does."""

import json
import math
from dataclasses import replace

import pytest

from rollsim.charts import CLICKED, choice_chart
from rollsim.cli import main
from rollsim.page import bars, fit_parts
from rollsim.plots.bar_choice import (
    ACCEPTED,
    LEAST,
    REJECTED,
    SAFETY_TITLE,
    SHARE_TITLE,
    TOO_WEAK,
    Against,
    BarChoice,
    bar_choice,
    notes,
)
from rollsim.reader_units import METRIC, READER_UNITS, UnitSystem
from tests.fit_page import BEYOND, FILES, TOURING, WITH_A_BAR, answered, page, words

KEYS = {Against.SAFETY: "safety_factor", Against.SHARE: "front_load_transfer_share"}
KINDS = {"shown", "to order", ACCEPTED, REJECTED, "within the limits", TOO_WEAK}


def choice_of(example: str, system: UnitSystem = UnitSystem.METRIC) -> BarChoice:
    found = answered(FILES[example])
    return bar_choice(found.sizing, found.scenario.job.limits, READER_UNITS[system])


def layers(chart: dict, mark: str) -> list[dict]:
    return [layer for layer in chart["layer"] if layer["mark"]["type"] == mark]


def rows(chart: dict, layer: dict) -> list[dict]:
    """What a layer draws; where it has no data of its own, those of the whole."""
    return chart["datasets"][layer.get("data", chart["data"])["name"]]


def marks(chart: dict) -> tuple[list[dict], list[dict]]:
    """The marks of the bars, and the ring."""
    (layer,) = layers(chart, "point")
    found = rows(chart, layer)
    assert {row["kind"] for row in found} <= KINDS
    ring = [row for row in found if row["kind"] == "shown"]
    return [row for row in found if row["kind"] != "shown"], ring


@pytest.mark.parametrize("against", Against)
@pytest.mark.parametrize("example", WITH_A_BAR)
def test_marks_lines_and_corner_are_those_of_the_command(capsys, example, against):
    main(["size", str(FILES[example]), "--json"])
    record = json.loads(capsys.readouterr().out)
    chart = choice_chart(choice_of(example), against, shown=2).to_dict()
    drawn, ring = marks(chart)
    chosen = record["choice"] and (record["choice"]["section"], record["choice"]["hole"])
    assert len(drawn) == len(record["candidates"])
    for row in drawn:
        bar = record["candidates"][row["rank"] - 1]
        assert row["lean"] == pytest.approx(bar["roll_gradient_deg_per_g"], rel=1e-9)
        assert row["height"] == pytest.approx(bar[KEYS[against]], rel=1e-9)
        to_order = (bar["section"], bar["hole"]) == chosen
        assert row["kind"] == (
            "to order"
            if to_order
            else ACCEPTED
            if bar["accepted"]
            else TOO_WEAK
            if against is Against.SHARE and bar["safety_factor"] < 1.2
            else REJECTED
        )
    assert [row["rank"] for row in ring] == [2]
    uprights, across = (rows(chart, layer) for layer in layers(chart, "rule"))
    wanted = [record["target_deg_per_g"], record["present_deg_per_g"]]
    assert [row["lean"] for row in uprights[:2]] == pytest.approx(wanted, rel=1e-9)
    for row, at in zip(uprights, wanted, strict=False):
        assert row["line"].endswith(f", {at:.2f} deg/g")
    # Defaults of a file without [limits] (docs/scenario-format.md): 1.2, and 0.10 below now.
    first = record["candidates"][0]
    share = first["front_load_transfer_share"] + first["front_share_drop"] - 0.10
    least = 1.2 if against is Against.SAFETY else share
    assert [row["height"] for row in across] == pytest.approx([least])
    (corner,) = rows(chart, *layers(chart, "rect"))
    assert (corner["to"], corner["height"]) == pytest.approx((1.05 * wanted[0], least))
    for row in drawn:
        bar = record["candidates"][row["rank"] - 1]
        if uprights[2:]:  # the limit of the front share parts those that keep it from the others
            keeps = bar["front_share_drop"] <= 0.10
            assert keeps == (row["lean"] >= uprights[2]["lean"])
        if row["kind"] not in (REJECTED, TOO_WEAK):
            assert corner["lean"] <= row["lean"] <= corner["to"]
            assert corner["height"] <= row["height"] <= corner["top"]


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("example", [TOURING, BEYOND])
def test_it_is_read_without_colour(example, dark):
    chart = choice_chart(choice_of(example), Against.SAFETY, shown=1, dark=dark).to_dict()
    (layer,) = layers(chart, "point")
    scales = {name: layer["encoding"][name]["scale"] for name in ("shape", "fill")}
    looks = list(zip(*(scale["range"] for scale in scales.values()), strict=True))
    of = dict(zip(scales["shape"]["domain"], looks, strict=True))
    assert {row["kind"] for row in rows(chart, layer)} <= set(of)
    hollow = {kind: (shape, fill == "transparent") for kind, (shape, fill) in of.items()}
    assert len(set(hollow.values())) == len(of)
    for line in layers(chart, "rule"):
        scale = line["encoding"]["strokeDash"]["scale"]
        assert scale["domain"][-1] == LEAST
        assert (
            len({str(dash) for dash in scale["range"]})
            == len(scale["domain"])
            == 3 + (example == TOURING)
        )


def test_sections_and_holes_are_in_the_units_of_the_reader():
    for system, name in (
        (UnitSystem.METRIC, "1: 25 mm solid, 290 mm hole, accepted"),
        (UnitSystem.IMPERIAL, "1: 25 mm solid (0.984 in), 11.42 in hole, accepted"),  # / 25.4
    ):
        drawn, _ = marks(choice_chart(choice_of(TOURING, system), Against.SHARE, shown=1).to_dict())
        assert next(row["words"] for row in drawn if row["rank"] == 1) == name


def test_what_has_no_place_is_left_out_and_said():
    choice = replace(choice_of(TOURING), target=math.inf, present=math.inf, most_lean=math.nan)
    choice = replace(choice, dots=choice.dots[1:], not_drawn=1, share_lean=math.nan)
    chart = choice_chart(choice, Against.SAFETY, shown=1).to_dict()
    assert "nan" not in json.dumps(chart).lower().replace("nominal", "")
    assert layers(chart, "rect") == []
    uprights, across = (rows(chart, layer) for layer in layers(chart, "rule"))
    assert (len(uprights), len(across)) == (0, 1)
    assert marks(chart)[1] == []  # the bar that is shown has no place
    assert notes(choice) == (
        "nothing to bring back: none is accepted",
        "not drawn, it tips before or has no stress: 1",
    )


def test_ranks_beside_the_marks_lie_over_no_mark_and_no_other_rank():
    chart = choice_chart(choice_of(TOURING), Against.SAFETY, shown=1).to_dict()
    drawn, _ = marks(chart)
    named = [row for row in drawn if row["beside"]]
    assert [row["beside"] for row in named] == [str(row["rank"]) for row in named]
    assert len(named) == len(drawn)
    across, down = (chart["layer"][1]["encoding"][axis]["scale"]["domain"] for axis in "xy")
    width, height = 250.0, 240.0  # px within the axes on a phone

    def spot(row: dict, right: float = 0.0, below: float = 0.0) -> tuple[float, float]:
        x = (row["lean"] - across[0]) / (across[1] - across[0]) * width + right
        return x, (down[1] - row["height"]) / (down[1] - down[0]) * height + below

    labels = [spot(row, row["right"], row["down"]) for row in named]
    for n, (x, y) in enumerate(labels):
        for a, b in [*labels[:n], *map(spot, drawn)]:
            assert abs(x - a) >= 14.0 or abs(y - b) >= 12.0  # px, two digits of 12 px


def test_a_clicked_mark_is_the_bar_of_its_rank():
    names = bars.bar_names(answered(FILES[TOURING]).sizing, METRIC)
    for rank in (1, 2, len(names)):
        state = {"selection": {CLICKED: [{"rank": rank}]}}
        assert fit_parts.bar_of_mark(state, names) == names[rank - 1]
    for nothing in ({}, {CLICKED: []}):
        assert fit_parts.bar_of_mark({"selection": nothing}, names) is None


def _shown(app) -> dict:
    """What the page draws in the open tab."""
    (chart,) = app.get("vega_lite_chart")
    return json.loads(chart.proto.spec)


def _height_of(app) -> str:
    (layer,) = layers(_shown(app), "point")
    return layer["encoding"]["y"]["title"]


def test_a_switch_sets_the_other_axis_and_a_link_sets_the_switch():
    app = page(TOURING)
    assert _height_of(app) == SAFETY_TITLE
    app.radio(key=fit_parts.AGAINST).set_value(Against.SHARE.value).run()
    assert not app.exception
    assert _height_of(app) == SHARE_TITLE
    assert _height_of(page(TOURING, against=Against.SHARE.value)) == SHARE_TITLE


def test_a_link_that_asks_for_another_picture_is_told():
    app = page(TOURING, against="mass")
    assert 'The link asks for the picture of the bars "mass"' in words(app)
    assert _height_of(app) == SAFETY_TITLE


def test_the_bar_of_the_link_is_in_the_ring():
    name = bars.bar_names(answered(FILES[TOURING]).sizing, METRIC)[1]
    app = page(TOURING, bar=name)
    what = name.removeprefix("2: ").removesuffix(" (not accepted)")
    assert f"In the ring, and shown above: {what}." in words(app)
