"""Coils and packs of the shop's shelf: the same figures as from the file, bad rows named."""

import json
from dataclasses import replace

import pytest

from rollsim import scenario
from rollsim.cli import main
from rollsim.scenario.editing import changed
from rollsim.scenario.embedded import with_tables
from rollsim.scenario.shelf import read_shelf, self_contained, with_shelf
from rollsim.spring_options import AS_PLANNED
from tests.builders import ROOT

CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
COIL = (
    "part,kind,axle,wire_diameter_mm,mean_coil_diameter_mm,active_coils,free_length_mm,"
    "block_length_mm,rate_N_per_mm,rated_load_kg,span_mm,full_length_thickness_mm,"
    "full_length_width_mm,price,currency,weeks\n"
)
ROWS = (
    "R-40,coil,rear,,,,,,40,900,,,,180,EUR,0\n"
    "C-1,coil,rear,16,120,8,420,160,,,,,,,,\n"
    "P-3,pack,rear,,,,,,,1200,1300,8 8 7,65,310,USD,2\n"
)
TABLES = """
[[spring_option]]
name = "a"
rear = { rate = "40 N/mm" }
rear_rated_load = "900 kg"

[[spring_option]]
name = "b"
[spring_option.rear.helical]
wire_diameter = "16 mm"
mean_coil_diameter = "120 mm"
active_coils = 8
free_length = "420 mm"
block_length = "160 mm"

[[spring_option]]
name = "c"
rear_rated_load = "1200 kg"
[spring_option.rear.leaf_pack]
span = "1300 mm"
full_length_thickness = ["8 mm", "8 mm", "7 mm"]
full_length_width = ["65 mm"]
"""


def on_shelf(csv, text=None):
    whole = CREW_CAB.read_text("utf-8") if text is None else text
    return scenario.loads(changed(whole, {"spring_shelf": csv}), "job.toml")


def test_springs_of_a_shelf_are_those_of_the_file(tmp_path, capsys):
    # The same springs by the other way of saying them: every figure to the digit.
    plain = scenario.loads(CREW_CAB.read_text("utf-8") + TABLES, "job.toml")
    shelf = on_shelf(COIL + ROWS)
    bare = [replace(one, name="", part=None) for one in shelf.job.spring_options]
    assert bare == [replace(one, name="") for one in plain.job.spring_options]
    assert [one.part.price for one in shelf.job.spring_options] == [180.0, None, 310.0]
    # And beside them every surface of the command tells the part.
    path = tmp_path / "shelf.csv"
    path.write_text(COIL + ROWS.splitlines(keepends=True)[0], "utf-8")
    assert main(["springs", str(CREW_CAB), "--shelf", str(path)]) == 0
    assert "Part R-40: 180.00 EUR, on the shelf." in capsys.readouterr().out
    assert main(["springs", str(CREW_CAB), "--shelf", str(path), "--json"]) == 0
    options = json.loads(capsys.readouterr().out)["options"]["options"]
    assert options["R-40"]["part"] == {
        "number": "R-40",
        "price": 180.0,
        "weeks_to_get": 0.0,
        "currency": "EUR",
    }
    assert options[AS_PLANNED]["part"] is None


def test_a_spring_that_cannot_sit_here_is_left_out_and_named():
    found = on_shelf(COIL + ROWS + "F-1,pack,front,,,,,,,,1300,8,65,,,\n")
    assert [one.name for one in found.job.spring_options] == ["R-40", "C-1", "P-3"]
    (note,) = (one for one in found.notes if one.startswith("spring_shelf"))
    assert note.startswith("spring_shelf: 1 of 4 springs does not fit this vehicle: F-1 (front: ")
    # A coil in front, where the suspension is independent, has the motion ratio of its own spring.
    wagon = (ROOT / "scenarios" / "wagon-roof-load.toml").read_text("utf-8")
    (coil,) = on_shelf(COIL + "F-2,coil,front,,,,,,120,,,,,,,\n", wagon).job.spring_options
    assert coil.front.rate == pytest.approx(120e3 * 0.6**2)  # N/m at the wheel


def test_bad_spring_rows_are_named_at_once():
    wrong = read_shelf(
        {
            "s.csv": COIL
            + "A,coil,rear,16,120,8,,160,,,,,,,,\n"
            + "B,pack,middle,,,,,,,,1300,8,65,,,\n"
            + "C,pack,rear,16,,,,,30,,,,,,,\n"
            + "D,coil,rear,,,,,,,,,,,,,\n"
            + "E,coil,rear,16,120,8,420,160,30,,,,,,,\n"
            + "F,spring,rear,,,,,,30,,,,,,,\n"
            + "G,coil,rear,,,,,,3000,,,,,,,\n"
        },
        "s.csv",
    ).wrong
    for said in (
        "row 2 (A): free_length: missing beside the others; add it",
        'row 3 (B): axle: found "middle"; allowed front or rear',
        "row 4 (C): wire_diameter: not for a pack; leave it empty",
        "row 5 (D): rate: missing; allowed rate_N_per_mm, or the dimensions wire_diameter_mm",
        "row 6 (E): rate: found beside wire_diameter; leave one of the two empty",
        'row 7 (F): kind: found "spring"; allowed bar, coil, pack',
        'row 8 (G): rate: found "3000 N/mm"',
    ):
        assert any(said in line for line in wrong), (said, wrong)
    assert len(wrong) == 7


def test_more_springs_than_can_stand_side_by_side_are_never_cut():
    many = "".join(f"R-{n},coil,rear,,,,,,{20 + n},,,,,,,\n" for n in range(21))
    with pytest.raises(scenario.ScenarioError, match=r"21 springs fit this vehicle.*up to 20"):
        on_shelf(COIL + many)
    text = CREW_CAB.read_text("utf-8") + TABLES.replace('"a"', '"R-40"')
    with pytest.raises(scenario.ScenarioError, match="part R-40 is the name of a"):
        on_shelf(COIL + ROWS, text)


def test_springs_on_the_shelf_leave_its_bars_as_they_are():
    # A mixed shelf: bars for the bar, springs for the springs, both from one file beside it.
    bars = (ROOT / "scenarios" / "shelf-demo.csv").read_text("utf-8").splitlines()
    head = f"{bars[0]},kind,axle,rate_N_per_mm"
    gap = "," * bars[0].count(",")
    mixed = "\n".join([head, *(f"{row},,," for row in bars[1:]), f"R-40{gap},coil,rear,40", ""])
    text = with_shelf(CREW_CAB.read_text("utf-8"), "\n".join([*bars, ""]))
    plain, both = scenario.loads(text, "a.toml"), with_shelf(text, mixed)
    assert scenario.loads(both, "a.toml").rear_bar == plain.rear_bar
    by_name = changed(both, {"spring_shelf": "mixed.csv"})
    held = with_tables("a.toml", by_name, {"mixed.csv": mixed})
    assert dict(held.tables) == {"mixed.csv": mixed}
    alone = scenario.loads(self_contained(held.text, dict(held.tables)), "a.toml")
    assert [one.name for one in alone.job.spring_options] == ["R-40"]
    no_bar = changed(CREW_CAB.read_text("utf-8"), {"rear_bar": None, "spring_shelf": mixed})
    assert len(scenario.loads(no_bar, "a.toml").job.spring_options) == 1
