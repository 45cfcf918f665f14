"""Pictures of the bar, the bend and the figures, and what is exported of them."""

import io
import math
import re
import struct
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image

from rollsim import drawing, mass
from rollsim.bar import Section, straight_u, stress_along
from rollsim.drawing import LoadRow, TransferRow, WaterfallStep, bar_shape, export, gauges, svg
from rollsim.mass import RatingCheck
from rollsim.roll import TransferParts, results
from rollsim.scenario import load
from rollsim.vehicle import Place, VehicleClass
from tests.builders import ROOT

NASTY = "<script>alert(1)</script> & \"'"


def along(force: float = 3000.0):
    shape = straight_u(centre_length=0.94, lever=0.26, splay=math.radians(12.0), bend_radius=0.05)
    return stress_along(shape, 0.82, Section(0.024, None), link_end_force=force)


def bar(allowable: float = 9e8, title: str = "24 mm") -> str:
    return drawing.bar_plan_of(
        along(), 0.82, allowable=allowable, peak_words="559 MPa", title=title
    )


def loads(load: float = 60.0, limit: float = 100.0, name: str = "roof") -> str:
    return drawing.load_bars([LoadRow(name, RatingCheck("roof_load", load, limit))])


def transfer(*parts: float, name: str = "rear") -> str:
    return drawing.transfer_bars([TransferRow(name, TransferParts(*parts))])


def leaning(lean: float, name: str = "now", **more):
    rise = more.pop("rise", 0.0)
    size = {"track": 1.55, "wheel_height": 0.37, "roof_height": 1.8}
    body = drawing.Pose(math.radians(lean), 0.45, rise=rise)
    return drawing.Standing(name, body, drawing.Pose(0.0), **size, **more)


def falls(*values: float, name: str = "x") -> str:
    return drawing.waterfall([WaterfallStep(name, value) for value in values], "N")


ALL = {
    "bar": bar(title=NASTY),
    "bar over": bar(5e8),
    "bend": drawing.roundabout(NASTY, NASTY, leaning(3.1, NASTY), after=leaning(5.0)),
    "right bend": drawing.roundabout(
        "25 m", "35 km/h", leaning(3.1, "before"), after=leaning(-5.0), bend="right"
    ),
    "loads": loads(150.0, name=NASTY),
    "no limit": loads(10.0, 0.0),
    "transfer": transfer(2100.0, -210.0, 160.0, name=NASTY),
    "no transfer": transfer(0.0, 0.0, 0.0),
    "waterfall": falls(100.0, 20.0, -50.0, name=NASTY),
    "no rows": drawing.load_bars([]),
}
each_picture = pytest.mark.parametrize("name", ALL)


def widths(picture: str, fill: str) -> list[float]:
    """Widths of the rectangles that begin with a fill."""
    found = re.findall(r'width="([\d.]+)" height="18.0" style="fill:([^;"]+)', picture)
    return [float(width) for width, colour in found if colour == fill]


@each_picture
def test_is_whole_and_escaped(name):
    picture = ALL[name]
    ElementTree.fromstring(picture)
    assert "<script" not in picture
    assert not re.search(r"\b(nan|inf)\b", picture, re.IGNORECASE)
    assert re.search(r'role="img" aria-label="', picture)
    assert 'id="' not in picture


@each_picture
def test_text_is_large_enough_on_a_phone(name):
    assert "viewBox" in ALL[name]
    assert min((float(n) for n in re.findall(r"font-size:([\d.]+)px", ALL[name])), default=12) >= 12


@each_picture
def test_colours_follow_the_theme(name):
    for colour in re.findall(r"(?:fill|stroke):([^;\"]+)", ALL[name]):
        assert colour in ("none", "currentColor") or colour.startswith("light-dark(#"), colour


def luminance(colour: str) -> float:
    shares = (int(colour[n : n + 2], 16) / 255.0 for n in (1, 3, 5))
    linear = [s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("colour", [svg.RED, svg.BLUE, svg.TEAL, bar_shape.COLOURS[-1]])
def test_inks_stand_out_from_the_paper(colour, dark):
    ink = re.findall(r"#\w{6}", colour)[dark]
    light, deep = sorted((luminance(ink), luminance(export.INKS[dark][1])), reverse=True)
    assert (light + 0.05) / (deep + 0.05) >= 4.5


def test_the_band_is_wider_and_darker_where_the_bar_works_harder():
    assert [bar_shape.stress_class(s) for s in (0.0, 0.25, 0.26, 0.6, 1.0, 1.01)] == [
        0, 0, 1, 2, 3, 4,
    ]  # fmt: skip
    assert bar_shape.band_width(0.2) < bar_shape.band_width(0.9) < bar_shape.band_width(1.2)
    picture = bar()
    shares = along().von_mises / 9e8
    wanted = {bar_shape.stress_class(float(s)) for s in shares}
    assert {int(n) for n in re.findall(r'class="stress-(\d)"', picture)} == wanted
    band = picture[: picture.rindex('class="link-end"')]
    drawn = [float(n) for n in re.findall(r'<path style="stroke-width:([\d.]+)" d="M', band)]
    assert max(drawn) == pytest.approx(bar_shape.band_width(float(shares.max())), abs=0.05)


def test_the_bar_is_to_scale_and_both_halves_alike():
    picture = bar()
    band = re.findall(r'stroke-width:[\d.]+" d="M([-\d.]+) ([-\d.]+)L([-\d.]+) ([-\d.]+)"', picture)
    xs = [float(x) for row in band for x in row[::2]]
    ys = [float(y) for row in band for y in row[1::2]]
    assert max(xs) == pytest.approx(-min(xs))
    out, back = along().stations.position[:, 1].max(), np.ptp(along().stations.position[:, 0])
    assert (max(ys) - min(ys)) / (2.0 * max(xs)) == pytest.approx(back / (2.0 * out), abs=1e-3)
    bushes = [float(x) + 6.0 for x in re.findall(r'<rect rx="3" x="(-?[\d.]+)"', picture)]
    assert bushes == pytest.approx([-0.41 / out * max(xs), 0.41 / out * max(xs)], abs=0.06)
    assert picture.count('class="link-end"') == 2


def test_the_peak_is_ringed_where_it_is_and_says_its_figure():
    picture = bar()
    x = along().stations.position[along().von_mises.argmax(), 1]
    scale = (svg.WIDTH / 2.0 - bar_shape.MARGIN) / along().stations.position[:, 1].max()
    rings = [float(r) for r in re.findall(r'class="peak" cx="(-?[\d.]+)"', picture)]
    assert rings == pytest.approx([-x * scale, x * scale], abs=0.06)
    assert ">peak 559 MPa</text>" in picture
    assert "OVER" not in re.search(r'aria-label="([^"]*)"', picture)[1]
    assert ">peak 559 MPa – OVER</text>" in bar(5e8)


def test_points_without_stresses_are_refused():
    with pytest.raises(ValueError, match="2 points and 1 stresses"):
        drawing.bar_plan(
            ((0, 0), (0, 1)), (1.0,), allowable=1.0, bush_spacing=1.0, peak_words="", title=""
        )


@pytest.mark.parametrize("bend", ["left", "right"])
def test_the_bend_shows_both_leans_outward(bend):
    van = {"vehicle_class": VehicleClass.VAN}
    picture = drawing.roundabout(
        "25 m", "35 km/h", leaning(3.1, "before", **van), after=leaning(5.04, **van), bend=bend
    )
    turned = [float(x) for x in re.findall(r'class="body" transform="[^"]*rotate\((\S+) ', picture)]
    assert turned == pytest.approx([3.1, 5.04], abs=1e-3)
    assert picture.count(") scale(-1 1)") == (3 if bend == "right" else 0)
    assert f"A {bend} bend of radius 25 m at 35 km/h: lean 3.1° before, 5.0° now" in picture


def test_a_vehicle_that_tips_is_drawn_as_it_last_stands_and_has_no_figure():
    picture = drawing.roundabout(
        "10 m", "40 km/h", leaning(7.2, "before"), after=leaning(14.3, tips=True)
    )
    assert "lean 7.2° before; now it tips over, drawn as it last stands" in picture
    assert ">tips over<" in picture
    assert "14.3°" not in picture
    assert "rotate(14.300 " in picture


def drawn_from(job, lateral):
    """Silhouettes unladen and with the load, and what they are drawn of."""
    unladen, *_, case = mass.states(job)
    found = {r.name: r.curve[0] for r in results(job, (lateral,))}
    return tuple(
        drawing.standing(job, state, found[state.name], name=state.name, roof_height=1.8)
        for state in (unladen, case)
    )


def test_a_lifted_body_sits_higher_and_its_load_lies_on_the_roof():
    job = load(ROOT / "scenarios" / "crew-cab-touring.toml").job
    for rise in (0.0, 0.06):
        lift = replace(job.change, suspension_lift_front=rise, suspension_lift_rear=rise)
        before, now = drawn_from(replace(job, change=lift), 0.0)
        plain = drawn_from(replace(job, change=replace(lift, suspension_lift_rear=0.0)), 0.0)[1]
        assert now.body.rise - plain.body.rise == pytest.approx(rise, abs=0.01)
        assert before.body.rise == pytest.approx(0.0, abs=1e-9)
    assert before.blocks == ()
    on_roof = [x for x in job.loads if x.place is Place.ROOF]
    block = max(now.blocks, key=lambda one: one.middle.height)
    assert block.middle.mass == pytest.approx(sum(x.mass for x in on_roof))
    assert block.top - block.height == pytest.approx(1.8)  # its lower edge is the roof
    heavier = replace(job, loads=tuple(replace(x, mass=2 * x.mass) for x in job.loads))
    wider = max(drawn_from(heavier, 0.0)[1].blocks, key=lambda one: one.middle.height)
    assert wider.width > block.width
    picture = drawing.roundabout("25 m", "35 km/h", before, after=now)
    up = [float(y) for y in re.findall(r'class="body" transform="translate\(\S+ (\S+)\)', picture)]
    assert up[1] < up[0] - 1.0  # y grows downward
    assert picture.count('class="cargo"') == len(now.blocks) == 2


def test_bars_fill_up_to_the_mark():
    full = gauges.LIMIT_AT * gauges.ROOM
    assert widths(loads(60.0), svg.BLUE) == [pytest.approx(0.6 * full, abs=0.1)]
    assert widths(loads(100.0), svg.BLUE) == [pytest.approx(full, abs=0.1)]
    assert "OVER" not in loads(100.0)
    assert 'class="over"' not in loads(100.0)


def test_over_a_rating_is_hatched_beyond_the_mark_and_says_so():
    picture = loads(110.0)
    full = gauges.LIMIT_AT * gauges.ROOM
    assert widths(picture, svg.RED) == [pytest.approx(full, abs=0.1)]
    assert widths(picture, svg.PAPER) == [pytest.approx(0.1 * full, abs=0.1)]
    assert ">OVER by 10 kg</text>" in picture
    hatched = re.search(r'class="over"[^>]* d="([^"]+)"', picture)[1]
    xs = [float(x) for x in re.findall(r"[ML]([\d.]+) ", hatched)]
    assert gauges.EDGE + full - 0.1 <= min(xs) < max(xs) <= gauges.EDGE + 1.1 * full + 0.1


def test_far_over_a_rating_stays_in_the_picture():
    for width in widths(loads(1e6), svg.PAPER):
        assert gauges.LIMIT_AT * gauges.ROOM + width <= gauges.ROOM


def test_transfer_parts_are_as_long_as_their_shares():
    picture = transfer(600.0, 300.0, 100.0)
    parts = [widths(picture, colour)[0] for colour in (svg.BLUE, gauges._SAND, gauges._GREEN)]
    assert parts == pytest.approx(
        [0.6 * gauges.ROOM, 0.3 * gauges.ROOM, 0.1 * gauges.ROOM], abs=0.1
    )
    assert "rear: 1000 N (elastic 600, geometric 300, unsprung 100)" in picture


def test_a_part_that_takes_away_stands_left_of_zero():
    picture = transfer(900.0, -100.0, 100.0)
    zero = float(re.search(r'class="zero"[^>]* d="M([\d.]+)', picture)[1])
    assert zero == pytest.approx(gauges.EDGE + gauges.ROOM * 100.0 / 1100.0, abs=0.1)
    left, width = re.search(
        rf'x="([\d.]+)" y="21.0" width="([\d.]+)" [^>]*{re.escape(gauges._SAND)}', picture
    ).groups()
    assert float(left) + float(width) == pytest.approx(zero, abs=0.1)
    assert "geometric −100" in picture


def test_contributions_add_up_from_start_to_end():
    picture = falls(100.0, 50.0, -30.0)
    assert "x 100 N; x +50; x −30; now 120 N" in picture
    scale = gauges.ROOM / 150.0
    assert widths(picture, svg.BLUE) == pytest.approx([100.0 * scale, 120.0 * scale], abs=0.1)
    assert widths(picture, gauges._SAND) == [pytest.approx(50.0 * scale, abs=0.1)]
    assert widths(picture, gauges._GREEN) == [pytest.approx(30.0 * scale, abs=0.1)]
    with pytest.raises(ValueError, match="start from"):
        drawing.waterfall([], "N")


@pytest.mark.parametrize("rising", [True, False])
def test_hatching_stays_inside_its_rectangle_and_slants_its_way(rising):
    lines = re.findall(
        r"M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)", svg.hatch(5, 7, 40, 18, step=6, rising=rising)
    )
    assert len(lines) == 9  # (40 + 18) / 6
    for x0, y0, x1, y1 in (map(float, line) for line in lines):
        assert 5.0 <= x0 < x1 <= 45.0
        assert min(y0, y1) >= 7.0
        assert max(y0, y1) <= 25.0
        assert (y1 < y0) is rising
        assert abs(y1 - y0) == pytest.approx(x1 - x0, abs=0.11)


@each_picture
@pytest.mark.parametrize("dark", [False, True])
def test_stands_alone_in_both_themes(name, dark):
    alone = drawing.standalone(ALL[name], dark=dark)
    root = ElementTree.fromstring(alone)
    assert root.tag == "{http://www.w3.org/2000/svg}svg"
    ink, paper = export.INKS[dark]
    assert f"fill:{paper}" in alone
    assert ink in alone
    assert "light-dark" not in alone
    assert "currentColor" not in alone
    assert "<script" not in alone


def test_colours_of_the_theme_are_the_right_ones():
    drawn = '<svg viewBox="0 0 9 9"><path style="fill:light-dark(#111111, #eeeeee)"/></svg>'
    assert "#111111" in drawing.standalone(drawn)
    assert "#eeeeee" not in drawing.standalone(drawn)
    assert "#eeeeee" in drawing.standalone(drawn, dark=True)


def test_captions_and_several_pictures_go_with_the_export():
    figure = (
        '<figure><figcaption><b>a &amp; b</b><br/>lean<span class="narrow">9 N</span>'
        '</figcaption><svg viewBox="0 -50 100 {}"></svg></figure>'
    )
    alone = drawing.standalone(drawing.side_by_side([figure.format(60), figure.format(80)]))
    assert alone.count("<svg") == 3
    assert alone.count("a &amp; b</text>") == 2
    assert "9 N" not in alone
    inner = re.findall(r'<svg x="(\d+)" y="(\d+)" width="100" height="(\d+)"', alone)
    feet = [int(y) + int(height) for _, y, height in inner]
    assert feet[0] == feet[1]
    assert int(inner[1][0]) - int(inner[0][0]) == 100 + export.MARGIN


def test_nothing_to_export_is_an_error():
    with pytest.raises(ValueError, match="no picture"):
        drawing.standalone("<p>text</p>")


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_png_has_its_size_and_is_not_blank(dark, scale):
    pytest.importorskip("vl_convert")
    alone = drawing.standalone(bar(), dark=dark)
    width, height = (
        float(n) for n in re.search(r'width="([\d.]+)" height="([\d.]+)"', alone).groups()
    )
    data = drawing.png(alone, scale)
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    assert struct.unpack(">II", data[16:24]) == (round(width * scale), round(height * scale))
    image = np.asarray(Image.open(io.BytesIO(data)).convert("RGB"))
    paper = [int(export.INKS[dark][1][n : n + 2], 16) for n in (1, 3, 5)]
    assert image[2, 2].tolist() == paper
    drawn = np.any(image != paper, axis=2)
    assert drawn.mean() > 0.02
    assert len(np.unique(image.reshape(-1, 3), axis=0)) > 10
