"""What the bar is made of, in words, and every input that it refuses."""

import math

import numpy as np
import pytest

from rollsim.bar import (
    BUSH_RATES,
    LINK_RATES,
    STEELS,
    BarShape,
    Form,
    Installation,
    Mount,
    RearBar,
    Section,
    Steel,
    Stock,
    find_steel,
    parse_section,
    parse_section_list,
    stock_from_list,
    straight_u,
    unit_load_integrals,
)

SPRING_STEEL = find_steel("51CrV4 spring temper")
TUBE = Section(0.027, 0.004)


# --- sections and steels -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "outer", "wall", "label"),
    [
        ("22 mm solid", 0.022, None, "22 mm solid"),
        (" 22.5mm  solid", 0.0225, None, "22.5 mm solid"),
        ("27 mm x 4 mm", 0.027, 0.004, "27 mm x 4 mm"),
        ("27mm×4mm", 0.027, 0.004, "27 mm x 4 mm"),
        ("1 in solid", 0.0254, None, "25.4 mm solid"),
        ("1.25 in x 0.120 in", 0.03175, 0.003048, "31.75 mm x 3.048 mm"),
    ],
)
def test_sections_as_text(text, outer, wall, label):
    section = parse_section(text)
    assert section.outer_diameter == pytest.approx(outer, rel=1e-15)
    assert section.wall == (None if wall is None else pytest.approx(wall, rel=1e-15))
    assert section.label == label


@pytest.mark.parametrize("text", ["22 mm solid", "27 mm x 4 mm", "31.75 mm x 3.048 mm"])
def test_a_label_reads_back_as_its_section(text):
    assert parse_section(parse_section(text).label) == parse_section(text)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "cannot be read; write outer diameter and wall as '27 mm x 4 mm'"),
        ("22 mm", "cannot be read"),
        ("22 solid", "cannot be read"),
        ("25,4 mm solid", "section '25,4 mm solid' cannot be read"),
        ("10**9 mm solid", "cannot be read"),
        ("-22 mm solid", "cannot be read"),
        ("nan mm solid", "cannot be read"),
        ("1e3 mm solid", "cannot be read"),
        ("22 m solid", "cannot be read"),
        ("2200 mm solid", "read as 2200 mm across; a bar is between 5 mm and 100 mm"),
        ("0 mm solid", "read as 0 mm across"),
        ("27 mm x 14 mm", "wall 14 mm in a tube of 27 mm: .* no thicker than the radius, 13.5 mm"),
        ("27 mm x 0 mm", "wall 0 mm in a tube of 27 mm: it must be above zero"),
    ],
)
def test_bad_section_text(text, words):
    with pytest.raises(ValueError, match=words):
        parse_section(text)


def test_section_lists():
    bars, form = parse_section_list("round bars 18-40 mm")
    assert form is Form.ROUND_BAR
    assert [bar.outer_diameter for bar in bars] == pytest.approx(np.arange(18, 41) / 1000)
    tubes, form = parse_section_list("EN 10305-1 tubes 20–36 mm")
    assert form is Form.EN_TUBE
    assert {round(t.outer_diameter * 1e3) for t in tubes} == {20, 22, 25, 26, 28, 30, 32, 35}
    assert Section(0.030, 0.004) in tubes
    tubes, form = parse_section_list("ASTM A513 tubes 0.75-1.5 in")
    assert form is Form.ASTM_TUBE
    assert len({t.outer_diameter for t in tubes}) == 7
    assert parse_section("1.25 in x 0.120 in") in tubes
    bars, _ = parse_section_list("round bars 0.75-0.875 in")
    assert [bar.outer_diameter / 0.0254 for bar in bars] == pytest.approx([0.75, 0.8125, 0.875])


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("square bars 18-40 mm", "cannot be read; write one of 'round bars 18-40 mm'"),
        ("round bars 18 mm", "cannot be read"),
        ("round bars 18-forty mm", "cannot be read"),
        ("round bars 40-18 mm", "runs backwards"),
        ("round bars 18-4000 mm", "read as 4000 mm across"),
        ("EN 10305-1 tubes 60-80 mm", "holds no supplied size; .* from 20 mm to 50 mm"),
    ],
)
def test_bad_section_list(text, words):
    with pytest.raises(ValueError, match=words):
        parse_section_list(text)


def test_a_list_needs_a_steel_supplied_in_that_form():
    with pytest.raises(ValueError, match="not supplied as EN 10305-1 tubes, only as round bars"):
        stock_from_list(SPRING_STEEL, "EN 10305-1 tubes 20-36 mm")
    assert len(stock_from_list(SPRING_STEEL, "round bars 18-30 mm").sections) == 13
    own = Steel("own", strengths=((math.inf, 600e6),))
    assert stock_from_list(own, "EN 10305-1 tubes 20-36 mm").steel is own


def test_explicit_sections_may_have_any_steel():
    assert Stock(SPRING_STEEL, (TUBE,)).sections == (TUBE,)


def test_strength_falls_with_diameter():
    steel = find_steel("51CrV4 quenched and tempered")
    strengths = [steel.allowable_stress(d) / 1e6 for d in (0.016, 0.0161, 0.040, 0.041, 0.100)]
    assert strengths == [900.0, 800.0, 800.0, 700.0, 700.0]
    with pytest.raises(ValueError, match="known up to 100 mm outer diameter, found 101 mm"):
        steel.allowable_stress(0.101)


def test_stock_refuses_a_size_without_strength():
    with pytest.raises(ValueError, match="known up to 25 mm outer diameter, found 40 mm"):
        stock_from_list(find_steel("52CrMoV4 hardened and tempered"), "round bars 18-40 mm")


def test_every_built_in_steel_says_where_it_comes_from():
    assert len({steel.name for steel in STEELS}) == len(STEELS) == 6
    for steel in STEELS:
        assert steel.source != "stated by the user"
        assert (steel.youngs_modulus, steel.shear_modulus) == (206e9, 79.3e9)
        assert find_steel(f"  {steel.name.upper()} ") is steel
        assert steel.fatigue_allowable is None


def test_unknown_steel_names_the_nearest():
    with pytest.raises(ValueError, match="did you mean '51CrV4 spring temper'"):
        find_steel("51CrV4 spring tempered")


@pytest.mark.parametrize("rates", [BUSH_RATES, LINK_RATES])
def test_class_words_keep_their_rate_above_zero(rates):
    assert all(value > spread > 0.0 for value, spread in rates.values())


# --- bad input ---------------------------------------------------------------------------------

SHAPES = {
    "square": straight_u(centre_length=0.94, lever=0.26, splay=0.0),
    "splayed": straight_u(centre_length=0.94, lever=0.26, splay=0.25),
    "bent": straight_u(centre_length=0.94, lever=0.26, splay=0.25, bend_radius=0.06),
}
GOOD = ((0.0, 0.0, 0.0), (0.0, 0.45, 0.0), (0.25, 0.5, 0.0))


@pytest.mark.parametrize(
    ("lever", "points", "radius", "words"),
    [
        (0.25, GOOD[:1], 0.0, "two or more points"),
        (0.25, ((0.0, 0.0), (0.0, 0.45)), 0.0, "three numbers"),
        (0.25, ((0.0, 0.1, 0.0), *GOOD[1:]), 0.0, "first point lies 100 mm out"),
        (0.25, (*GOOD[:2], (0.25, -0.1, 0.0)), 0.0, "last point lies -100 mm out"),
        (0.25, (*GOOD[:2], *GOOD[1:]), 0.0, "two points in a row are the same"),
        (0.25, (*GOOD[:2], (math.nan, 0.5, 0.0)), 0.0, "must be finite"),
        (-0.25, GOOD, 0.0, "lever -250 mm: it must be above zero"),
        (0.25, GOOD, -0.01, "bend radius -10 mm"),
        (0.25, GOOD, 0.40, "bend radius 400 mm: the bends do not fit on the 255 mm"),
    ],
)
def test_bad_centreline(lever, points, radius, words):
    with pytest.raises(ValueError, match=words):
        BarShape(lever, points, radius)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"centre_length": 0.0}, "centre length 0 mm"),
        ({"lever": -0.2}, "lever -200 mm"),
        ({"splay": math.pi / 2}, "arm splay 90 deg"),
    ],
)
def test_bad_straight_u(changes, words):
    with pytest.raises(ValueError, match=words):
        straight_u(**({"centre_length": 0.94, "lever": 0.26, "splay": 0.0} | changes))


@pytest.mark.parametrize(
    ("name", "spacing", "words"),
    [
        ("square", 0.95, "outside the bar's centre section, which runs across for 940 mm"),
        ("splayed", 1.0, "outside the bar's centre section, which runs across for 940 mm"),
        ("splayed", 2.0, "outside the bar's centre section"),
        ("bent", 0.90, "bushes lie on the bends; the bar is straight up to 846 mm"),
        ("square", 0.0, "bush spacing 0 mm: it must be above zero"),
        ("square", math.nan, "must be above zero"),
    ],
)
def test_bushes_off_the_centre_section(name, spacing, words):
    with pytest.raises(ValueError, match=words):
        unit_load_integrals(SHAPES[name], spacing)


def test_bushes_may_sit_right_at_the_bends():
    bending, torsion = unit_load_integrals(SHAPES["square"], 0.94)
    assert (bending, torsion) == pytest.approx((0.26**3 / 3, 0.26**2 * 0.47))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"shapes": ()}, "no arm hole"),
        ({"stocks": ()}, "no section"),
        ({"installation_ratio": 0.0}, "installation ratio 0: it must be above zero"),
        ({"bush_spacing": 1.2}, "bushes lie outside"),
        ({"bush_rate": 0.0}, "bush rate 0 N/mm: it must be above zero"),
        ({"link_rate": math.nan}, "link rate nan N/mm"),
    ],
)
def test_bad_rear_bar(changes, words):
    good = {
        "mount": Mount.AXLE,
        "installation_ratio": 0.7,
        "bush_spacing": 0.76,
        "shapes": tuple(SHAPES.values()),
        "bush_rate": None,
        "link_rate": None,
        "installation": Installation(),
        "stocks": (Stock(SPRING_STEEL, (TUBE,)),),
    }
    assert RearBar(**good).bush_spacing == 0.76
    with pytest.raises(ValueError, match=words):
        RearBar(**(good | changes))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"arm_angle": 1.6}, "arm angle at 91.67.* deg"),
        ({"link_inclination": math.nan}, "link inclination at nan deg"),
        ({"link_length": 0.0}, "link length 0 mm"),
        ({"lash": -0.001}, "lash -1 mm"),
    ],
)
def test_bad_installation(changes, words):
    with pytest.raises(ValueError, match=words):
        Installation(**changes)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"strengths": ()}, "allowable stress 0 must be above zero"),
        ({"strengths": ((0.04, 8e8), (0.016, 9e8))}, "diameters of its strengths must rise"),
        ({"youngs_modulus": -1.0}, "Young's modulus -1 must be above zero"),
        ({"density": math.inf}, "density inf must be above zero and finite"),
        ({"fatigue_allowable": 0.0}, "fatigue allowable 0"),
    ],
)
def test_bad_steel(changes, words):
    with pytest.raises(ValueError, match=words):
        Steel(**({"name": "own", "strengths": ((math.inf, 6e8),)} | changes))


def test_empty_stock():
    with pytest.raises(ValueError, match="no sections; list at least one"):
        Stock(SPRING_STEEL, ())
