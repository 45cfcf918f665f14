"""Springs by dimensions, friction and two branches: what the file says, and every error in it."""

import math

import pytest

from rollsim import scenario
from rollsim.springs import FrictionLoop, HelicalSpring, LeafPack, TableSpring
from tests.bad_input import TEXT, errors_of
from tests.bad_input_springs import (
    BAD_BRANCHES,
    BAD_COILS,
    BAD_PACKS,
    CHANGE,
    COIL,
    FRONT,
    HELICAL,
    LEAVES,
    PACK,
    REAR,
)

assert FRONT in TEXT
assert REAR in TEXT
assert CHANGE in TEXT


def _with(front=FRONT, rear=REAR, change=CHANGE):
    return TEXT.replace(FRONT, front).replace(REAR, rear).replace(CHANGE, change)


@pytest.mark.parametrize(("old", "new", "expected"), BAD_COILS)
def test_coil(old, new, expected):
    assert old in COIL
    (line,) = errors_of(_with(front=COIL.replace(old, new, 1)))
    assert line.startswith("crew_cab.toml: front.spring")
    assert expected in line


@pytest.mark.parametrize(("old", "new", "expected"), BAD_PACKS)
def test_leaf_pack(old, new, expected):
    assert old in PACK
    (line,) = errors_of(_with(rear=PACK.replace(old, new, 1)))
    assert line.startswith("crew_cab.toml: rear.spring")
    assert expected in line


@pytest.mark.parametrize(("content", "more", "expected"), BAD_BRANCHES)
def test_table_of_two_branches(tmp_path, content, more, expected):
    (tmp_path / "a.csv").write_text(content, encoding="utf-8")
    text = _with(front=f'spring = {{ table = "a.csv"{more} }}')
    (line,) = errors_of(text, tmp_path)
    assert expected in line


def test_errors_of_both_springs_are_told_at_once():
    coil = COIL.replace('"138 mm"', '"100 mm"').replace('"14.5 mm"', '"15 mm"')
    pack = PACK.replace('"90 mm"', '"9"').replace('"55 mm"', '"55 kg"')
    lines = errors_of(_with(front=coil, rear=pack))
    assert [line.split(": ")[1] for line in lines] == [
        "rear.spring.leaf_pack.inactive_length",
        "rear.spring.leaf_pack.helper.after",
        "front.spring.helical.block_length",
    ]


def test_springs_are_built_as_stated():
    read = scenario.loads(_with(front=COIL, rear=PACK), "crew_cab.toml")
    coil, pack = read.job.vehicle.front.spring, read.job.vehicle.rear.spring
    assert coil == HelicalSpring(
        0.0145,
        0.12,
        7.5,
        free_length=0.46,
        block_length=0.138,
        shear_modulus=79.3e9,
        motion_ratio=0.62,
    )
    assert isinstance(pack, LeafPack)
    assert [leaf.thickness for leaf in pack.main.graduated] == [0.007, 0.007, 0.008]
    assert {leaf.width for leaf in (*pack.main.full_length, *pack.main.graduated)} == {0.06}
    assert (pack.main.span, pack.main.inactive_length) == (1.25, 0.09)
    assert (pack.helper.start, pack.helper.contact_travel) == (0.055, 0.01)
    assert pack.loop == FrictionLoop(fraction=0.07)


def test_tolerances_of_dimensions_are_kept():
    coil = COIL.replace('"14.5 mm"', '"14.5 mm ± 0.1 mm"')
    pack = PACK.replace('["7 mm", "7 mm"]', '["7 mm", "7 mm ± 0.2 mm"]')
    kept = {t.key: t.tolerance for t in scenario.loads(_with(coil, pack), "a.toml").tolerances}
    assert kept["front.spring.helical.wire_diameter"] == pytest.approx(1e-4)
    assert kept["rear.spring.leaf_pack.full_length_thickness[2]"] == pytest.approx(2e-4)


def test_twist_is_offered_where_the_file_states_none():
    stated = scenario.loads(_with(rear=PACK), "a.toml")
    assert not any("own twist" in note for note in stated.notes)
    lines = [line for line in _with(rear=PACK).split("\n") if "auxiliary" not in line]
    read = scenario.loads("\n".join(lines), "a.toml")
    (note,) = (note for note in read.notes if "own twist" in note)
    offered = math.radians(read.job.vehicle.rear.spring.main.twist_stiffness(79.3e9))
    assert note.startswith("rear.spring.leaf_pack: the leaves' own twist adds roll stiffness")
    assert f"at most {offered:.0f} N·m/deg" in note


@pytest.mark.parametrize(
    ("youngs_modulus", "shear_modulus"),
    [("206 GPa", 79.3e9), ("69 GPa", 26e9)],  # steel; aluminium, both from memory
)
def test_twist_goes_with_the_material_of_the_leaves(youngs_modulus, shear_modulus):
    """G of handbooks, which E and Poisson's ratio 0.3 meet within 3 %."""
    pack = PACK.replace("leaf_pack = {", f'leaf_pack = {{ youngs_modulus = "{youngs_modulus}",')
    lines = [line for line in _with(rear=pack).split("\n") if "auxiliary" not in line]
    read = scenario.loads("\n".join(lines), "a.toml")
    (note,) = (note for note in read.notes if "own twist" in note)
    wanted = math.radians(read.job.vehicle.rear.spring.main.twist_stiffness(shear_modulus))
    assert float(note.split("at most ")[1].split()[0]) == pytest.approx(wanted, rel=0.03)


@pytest.mark.parametrize(
    ("kind", "expected"),
    [(f"helical = {{ {HELICAL} }}", HelicalSpring), (f"leaf_pack = {{ {LEAVES} }}", LeafPack)],
)
def test_replaced_spring_of_any_kind_with_its_own_load(kind, expected):
    change = f'rear_spring = {{ {kind}, load = "450 kg", at = "30 mm", loop_width = "500 N" }}'
    spring = scenario.loads(_with(change=change), "a.toml").job.change.rear_spring
    assert isinstance(spring, expected)
    assert float(spring.curve(3000.0).force(-0.03)) == pytest.approx(450.0 * 9.80665)
    assert spring.loop == FrictionLoop(half_width=250.0)


def test_loop_width_is_taken_to_the_wheel():
    front = COIL.replace("motion_ratio", 'loop_width = "200 N", motion_ratio')
    spring = scenario.loads(_with(front=front), "a.toml").job.vehicle.front.spring
    assert spring.loop.half_width == pytest.approx(100.0 * 0.62)


def test_table_of_two_branches_works_on_their_mean(tmp_path):
    # Falling and in another order of columns, as a tester may write it; taken to the wheel.
    rows = "unloading_kN,travel_mm,force_kN\n8,90,9\n3.5,50,4.5\n0.8,0,1\n"
    (tmp_path / "a.csv").write_text(rows, encoding="utf-8")
    text = _with(front='spring = { table = "a.csv", motion_ratio = 0.8 }')
    spring = scenario.loads(text, "a.toml", tmp_path).job.vehicle.front.spring
    assert isinstance(spring, TableSpring)
    assert spring.force == pytest.approx((720.0, 3200.0, 6800.0))
    assert spring.travel == pytest.approx((0.0, 0.0625, 0.1125))
    assert spring.half_widths == pytest.approx((80.0, 400.0, 400.0))
    assert float(spring.friction(3200.0)) == pytest.approx(400.0)
