"""The command: exit codes, messages, tables of at most 100 columns."""

import json
import math
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from rollsim import roll, scenario
from rollsim.cautions import BAR_CAUTIONS, ROLL_CAUTIONS
from rollsim.cli import main
from rollsim.cli.bands import band_keys, band_notes, band_rows
from rollsim.cli.layout import WIDTH, bullets, side_by_side
from rollsim.roll import SECANT_AT
from rollsim.tell.figures import Row
from rollsim.tolerance import Band, LeanBands, band, lean_samples
from rollsim.units import to_unit
from tests.builders import EVERY

ROOT = Path(__file__).parents[1]
DATA = ROOT / "tests" / "data"
CREW_CAB = DATA / "crew_cab.toml"
FILES = sorted([*DATA.glob("*.toml"), *(ROOT / "scenarios").glob("*.toml")])
BEYOND = ROOT / "scenarios" / "beyond-a-bar.toml"
SIZED = [path for path in FILES if path.stem != "independent_rear"]


def run(capsys, *arguments):
    code = main([str(argument) for argument in arguments])
    shown = capsys.readouterr()
    return code, shown.out, shown.err


def variant(tmp_path, *replacements):
    """The crew-cab with other values, in a file of its own."""
    text = CREW_CAB.read_text(encoding="utf-8")
    for old, new in replacements:
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / "variant.toml"
    path.write_text(text, encoding="utf-8")
    return path


def without_rear_bar(tmp_path):
    path = variant(tmp_path)
    path.write_text(CREW_CAB.read_text(encoding="utf-8").split("[rear_bar]")[0], encoding="utf-8")
    return path


def cells(text, row, *, after=""):
    """Cells of the first row with that label behind a heading."""
    lines = text[text.index(after) :].splitlines()
    line = next(line for line in lines if line.strip().startswith(row))
    return line.strip()[len(row) :].split()


def alone(*arguments, **environment):
    return subprocess.run(
        [sys.executable, "-m", "rollsim", *map(str, arguments)],
        cwd=ROOT,
        env={**os.environ, **environment},
        capture_output=True,
        timeout=60,
    )


@pytest.fixture
def nothing_helps(monkeypatch):
    """What else helps takes seconds, and is not what is asked."""
    monkeypatch.setattr("rollsim.remedies.what_else_helps", lambda *_: ())


# Tables


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_roll_table_is_at_most_100_columns_wide(capsys, path, units):
    code, out, err = run(capsys, "roll", path, "--units", units)
    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 100


# Of two that no bar fits and that nothing else tells apart, one: what else helps takes seconds.
@pytest.mark.parametrize("path", FILES if EVERY else SIZED, ids=lambda path: path.stem)
def test_size_table_is_at_most_100_columns_wide(capsys, path):
    if "[rear_bar]" not in path.read_text(encoding="utf-8"):
        assert run(capsys, "size", path)[0] == 2
        return
    code, out, err = run(capsys, "size", path, "--units", "imperial")
    assert (code, err) == (0, "")
    assert max(map(len, out.splitlines())) <= 100


def test_roll_table_shows_the_figures_of_the_json(capsys):
    out = run(capsys, "roll", CREW_CAB)[1]
    states = json.loads(run(capsys, "roll", CREW_CAB, "--json")[1])["states"].values()
    for row, key in (
        ("lean per g (roll gradient), deg/g", "roll_gradient_deg_per_g"),
        ("lean per g at 0.4 g (secant), deg/g", "secant_roll_gradient_deg_per_g"),
        ("lean per g, suspension alone, deg/g", "suspension_roll_gradient_deg_per_g"),
        ("static stability factor (SSF)", "ssf"),
        ("tipping point (tip-over threshold), g", "tip_over_threshold_g"),
        ("tilt-table ratio", "tilt_table_ratio"),
        ("front share of weight transfer", "front_load_transfer_share"),
    ):
        assert cells(out, row) == [f"{state[key]:.2f}" for state in states]
    loads = [state["curve"][4]["wheel_loads_N"]["rear_right"] for state in states]
    assert cells(out, "rear right, outer") == [f"{load:.0f}" for load in loads]
    totals = [state["load_transfer"]["front"]["total_N"] for state in states]
    assert cells(out, "front: total") == [f"{total:.0f}" for total in totals]


def test_imperial_table_shows_the_converted_figures(capsys):
    metric = run(capsys, "roll", CREW_CAB)[1]
    imperial = run(capsys, "roll", CREW_CAB, "--units", "imperial")[1]
    assert cells(metric, "mass, kg")[0] == "1990"
    assert cells(imperial, "mass, lb")[0] == "4387"  # 1990 / 0.45359237
    assert cells(metric, "CG height, mm")[0] == "700"
    assert cells(imperial, "CG height, in")[0] == "27.56"  # 700 / 25.4
    lean = "lean per g (roll gradient), deg/g"
    assert cells(imperial, lean) == cells(metric, lean)
    newtons = float(cells(metric, "rear right, outer", after="Wheel loads")[0])
    pounds = float(cells(imperial, "rear right, outer", after="Wheel loads at 0.4 g, lbf")[0])
    assert pounds == pytest.approx(newtons / 4.4482216, abs=0.7)  # both rounded to whole units


def test_size_table_in_imperial_units(capsys):
    metric = run(capsys, "size", CREW_CAB)[1]
    imperial = run(capsys, "size", CREW_CAB, "--units", "imperial")[1]
    newton_metres = float(cells(metric, "new bar needed, N·m/deg")[0])
    pound_inches = float(cells(imperial, "new bar needed, lbf·in/deg")[0])
    assert pound_inches == pytest.approx(newton_metres / 0.112984829, abs=5.0)
    assert "27 mm x 4 mm" in imperial  # a metric stock is ordered in millimetres
    assert "10.24" in imperial  # the 260 mm hole


def test_cautions_stand_under_every_table(capsys):
    flat = " ".join(run(capsys, "roll", CREW_CAB)[1].split())
    assert all(caution in flat for caution in ROLL_CAUTIONS)
    flat = " ".join(run(capsys, "size", CREW_CAB)[1].split())
    assert all(caution in flat for caution in BAR_CAUTIONS)


def test_no_table_promises_safety(capsys):
    for command in ("roll", "size"):
        out = run(capsys, command, CREW_CAB)[1]
        out = " ".join(out.split()).replace(ROLL_CAUTIONS[0], "")
        assert "safe " not in out
        assert not re.search(r"\bOK\b", out)


def test_assumed_values_stand_in_the_table(capsys):
    flat = " ".join(run(capsys, "roll", DATA / "independent_rear.toml")[1].split())
    assert "Assumed, not measured" in flat
    assert "vehicle.cg_height = 776.5 mm ± 47 mm (class default" in flat


def test_over_a_rating_stands_first_and_last_and_is_answered(capsys, tmp_path, nothing_helps):
    path = variant(tmp_path, ('mass = "85 kg"', 'mass = "120 kg"'))
    for command in ("roll", "size"):
        code, out, err = run(capsys, command, path)
        assert (code, err) == (0, "")
        blocks = out.strip().split("\n\n")
        for block in (blocks[1], blocks[-1]):
            assert "OVER A RATING: touring: roof load, on road 120 kg, allowed 100 kg" in block
            assert "100 kg: 20 kg too much" in block
            assert "raise no rating" in block
        assert "120 OVER" in out
    code, out, _ = run(capsys, "roll", path, "--json")
    assert code == 0
    ratings = json.loads(out)["states"]["touring"]["ratings"]
    assert [rating["name"] for rating in ratings if rating["over"]] == ["roof_load"]


def test_no_rating_block_where_nothing_is_over(capsys):
    assert "OVER" not in run(capsys, "roll", CREW_CAB)[1]


TOP_HEAVY = (
    ('mass = "85 kg"', 'mass = "900 kg"'),
    ('height = "1980 mm"', 'height = "3300 mm"'),
    ("38 N/mm", "120 N/mm"),
    ('spring = { rate = "36 N/mm"', 'spring = { rate = "150 N/mm"'),
    ('{ rate = "44 N/mm" }', '{ rate = "150 N/mm" }'),
)


def test_a_vehicle_that_tips_leaves_points_out(capsys, tmp_path):
    path = variant(tmp_path, *TOP_HEAVY)
    record = json.loads(run(capsys, "roll", path, "--json")[1])
    state = record["states"]["touring"]
    tip = state["tip_over_threshold_g"]
    assert 0.1 < tip < 0.4
    assert [p["lateral_acceleration_g"] for p in state["curve"]] == [
        g for g in (0.0, 0.1, 0.2, 0.3) if g <= tip
    ]
    assert state["secant_roll_gradient_deg_per_g"] is None
    assert state["load_transfer"]["front"]["total_N"] is None
    assert any(n.startswith("touring: ") and "secant" in n for n in record["notes"])
    out = run(capsys, "roll", path)[1]
    assert cells(out, "at 0.1 g")[2] != "tipped"
    assert cells(out, "at 0.7 g")[2] == "tipped"
    assert cells(out, "rear right, outer")[2] == "tipped"
    assert cells(out, "lean per g at 0.4 g (secant), deg/g")[2] == "–"


def test_size_of_a_vehicle_that_tips_says_so_without_nan(capsys, tmp_path):
    path = variant(tmp_path, *TOP_HEAVY)
    code, out, err = run(capsys, "size", path, "--json")
    assert (code, err) == (0, "")
    record = json.loads(out)
    assert record["choice"] is None
    assert record["present_deg_per_g"] is None
    assert any(note.startswith("present_deg_per_g is null") for note in record["notes"])
    assert run(capsys, "size", path)[0] == 0


def test_unreachable_target_has_no_required_stiffness(capsys):
    record = json.loads(run(capsys, "size", BEYOND, "--json")[1])
    assert record["reachable"] is False
    assert record["required_roll_stiffness_Nm_per_deg"] is None
    assert any(n.startswith("required_roll_stiffness_Nm_per_deg") for n in record["notes"])
    assert record["what_else_helps"]
    out = run(capsys, "size", BEYOND)[1]
    assert cells(out, "new bar needed, N·m/deg") == ["none"]
    assert "What else would help" in out
    assert "OVER A RATING" in out.strip().split("\n\n")[-1]


MANY = '"27 mm x 4 mm", "18 mm solid", "19 mm solid", "20 mm solid", "21 mm solid"'


def test_many_rejected_bars_are_cut_short(capsys, tmp_path, nothing_helps):
    path = variant(tmp_path, ('"27 mm x 4 mm"', MANY))
    candidates = json.loads(run(capsys, "size", path, "--json")[1])["candidates"]
    rejected = sum(not candidate["accepted"] for candidate in candidates)
    assert len(candidates) == 21
    assert rejected > 15
    out = run(capsys, "size", path)[1]
    assert f"… {rejected - 15} more, see --json" in out
    assert len(re.findall(r"^ +\d+  [\d.]+ mm ", out, re.MULTILINE)) == 21 - rejected + 15


def test_chosen_bar_is_shown_in_every_state_before_and_after(capsys, tmp_path):
    sections = 'sections = ["22 mm solid", "24 mm solid", "27 mm x 4 mm"]'
    path = variant(
        tmp_path,
        (sections, 'sections = ["18 mm solid", "19 mm solid", "20 mm solid"]'),
        ("51CrV4 quenched and tempered", "52CrMoV4 hardened and tempered"),
    )
    record = json.loads(run(capsys, "size", path, "--json")[1])
    now = json.loads(run(capsys, "roll", path, "--json")[1])["states"]
    choice = record["choice"]
    assert choice is not None
    out = run(capsys, "size", path)[1]
    assert " ".join(record["sentence"].split()) in " ".join(out.split())
    key, row = "tip_over_threshold_g", "tipping point (tip-over threshold), g"
    expected = [
        f"{state[key]:.2f}" for name in now for state in (now[name], choice["states"][name])
    ]
    assert cells(out, row, after="Every state") == expected[:4]
    assert cells(out, row, after="touring     touring")[: len(expected) - 4] == expected[4:]
    assert "What gets worse with this bar" in out


# --at


def test_at_replaces_the_list(capsys):
    record = json.loads(run(capsys, "roll", CREW_CAB, "--at", "0.3", "--at", "0.15", "--json")[1])
    for state in record["states"].values():
        assert [p["lateral_acceleration_g"] for p in state["curve"]] == [0.15, 0.3]
    out = run(capsys, "roll", CREW_CAB, "--at", "0.25 g")[1]
    assert re.findall(r"^at ([\d.]+) g", out, re.MULTILINE) == ["0.25"]
    assert cells(out, "rear right, outer") == ["6057", "6057", "6617"]  # still at 0.4 g


@pytest.mark.parametrize("text", ["nan", "-1", "abc", "5", "inf", "", "2.01", "0,4"])
def test_bad_at(capsys, text):
    code, out, err = run(capsys, "roll", CREW_CAB, "--at", text)
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert f"--at: found '{text}'; allowed a number from 0 to 2, in g" in err


@pytest.mark.parametrize("text", ["0", "2"])
def test_ends_of_at_are_allowed(capsys, text):
    assert run(capsys, "roll", CREW_CAB, "--at", text)[0] == 0


# Wrong input


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["fly"],
        ["roll"],
        ["size", str(CREW_CAB), "--at", "0.4"],
        ["roll", str(CREW_CAB), "--units", "furlongs"],
        ["check", str(CREW_CAB), "--json"],
    ],
)
def test_wrong_command_line_is_one_line_and_exit_2(capsys, arguments):
    code, out, err = run(capsys, *arguments)
    assert (code, out) == (2, "")
    assert err.startswith("rollsim")
    assert err.count("\n") == 1


@pytest.mark.parametrize("command", ["roll", "size", "check"])
def test_every_command_tells_all_errors_of_the_file(capsys, tmp_path, command):
    path = variant(
        tmp_path,
        ('wheelbase = "3085 mm"', 'wheelbase = "3085 kg"'),
        ('roof_load = "100 kg"', 'roof_lode = "100 kg"'),
        ("bush_rate", "bush_rat"),
    )
    code, out, err = run(capsys, command, path)
    assert (code, out) == (2, "")
    lines = err.splitlines()
    assert all(line.startswith("variant.toml: ") for line in lines)
    for key in ("vehicle.wheelbase", "ratings.roof_lode", "rear_bar.bush_rat"):
        assert sum(f" {key}: " in line for line in lines) == 1


@pytest.mark.parametrize("command", ["roll", "size", "check"])
def test_missing_file(capsys, tmp_path, command):
    code, out, err = run(capsys, command, tmp_path / "none.toml")
    assert (code, out, err) == (
        2,
        "",
        "none.toml: no such file; check the name and the folder\n",
    )


@pytest.mark.parametrize("options", [[], ["--json"]])
def test_size_without_rear_bar(capsys, tmp_path, options):
    code, out, err = run(capsys, "size", without_rear_bar(tmp_path), *options)
    assert (code, out) == (2, "")
    assert err.startswith("variant.toml: rear_bar: missing")
    assert err.count("\n") == 1


# check, version, help


def test_check_answers_without_computing(capsys, monkeypatch):
    monkeypatch.delattr(roll, "results")
    code, out, err = run(capsys, "check", CREW_CAB)
    assert (code, err) == (0, "")
    assert out.startswith("crew_cab.toml: no errors\n")
    assert "states: unladen, as weighed, touring" in out
    assert "vehicle.cg_height" in out


def test_check_says_that_there_is_no_bar(capsys, tmp_path):
    assert "not given" in run(capsys, "check", without_rear_bar(tmp_path))[1]


def test_version_and_help(capsys):
    code, out, _ = run(capsys, "--version")
    assert code == 0
    assert out.startswith("rollsim ")
    code, out, _ = run(capsys, "roll", "--help")
    assert code == 0
    assert "--at G" in out


# Failure


def broken(*_):
    raise RuntimeError("two\nlines")


def test_failure_is_one_line_and_exit_1(capsys, monkeypatch):
    monkeypatch.delenv("ROLLSIM_DEBUG", raising=False)
    monkeypatch.setattr(roll, "results", broken)
    code, out, err = run(capsys, "roll", CREW_CAB)
    assert (code, out) == (1, "")
    assert err == "rollsim failed: RuntimeError: two lines; please report\n"


def test_failure_shows_its_traceback_on_request(monkeypatch):
    monkeypatch.setenv("ROLLSIM_DEBUG", "1")
    monkeypatch.setattr(roll, "results", broken)
    with pytest.raises(RuntimeError, match="two"):
        main(["roll", str(CREW_CAB)])


def test_reader_that_goes_away_is_no_error():
    process = subprocess.Popen(
        [sys.executable, "-m", "rollsim", "roll", str(CREW_CAB)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    process.stdout.close()
    err = process.stderr.read()
    process.stderr.close()
    assert (process.wait(timeout=60), err) == (0, b"")


def test_output_is_utf_8_whatever_the_locale(tmp_path):
    path = variant(tmp_path, ("Demo crew-cab", "Dëmo 試験 crew-cab"))
    ascii_only = {"LC_ALL": "C", "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    found = alone("check", path, **ascii_only)
    assert (found.returncode, found.stderr) == (0, b"")
    assert "Dëmo 試験 crew-cab" in found.stdout.decode("utf-8")


# Layout


def test_more_states_than_fit_go_on_in_a_block_below():
    titles = [f"case number {n} with a very long name" for n in range(7)]
    row = Row("lean per g (roll gradient), deg/g", tuple(f"{n}.00" for n in range(7)))
    text = side_by_side(titles, [row])
    first, second = text.split("\n\n")
    assert "4.00" in first
    assert "5.00" not in first
    assert second.splitlines()[-1].split()[-2:] == ["5.00", "6.00"]
    assert max(map(len, text.splitlines())) <= WIDTH


def test_columns_line_up():
    text = side_by_side(["a", "b"], [Row("short", ("1", "2")), Row("longer label", ("10", "200"))])
    assert text.splitlines() == [
        "                       a           b",
        "------------  ----------  ----------",
        "short                  1           2",
        "longer label          10         200",
    ]


def test_bullets_tell_each_thing_once():
    assert bullets(["a", "b", "a"]) == "- a\n- b"


def test_control_characters_do_not_reach_the_terminal(capsys, tmp_path):
    path = variant(tmp_path, ("Demo crew-cab", "Demo \\u001b[31m crew-cab"))
    code, out, err = run(capsys, "roll", path)
    assert code in (0, 2)
    assert "\x1b" not in out + err


TOURING = ROOT / "scenarios" / "crew-cab-touring.toml"


def test_tolerances_are_carried_on_request(capsys):
    """The bands of the samples, in JSON and as rows; nothing of it unasked for."""
    found = scenario.load(TOURING)
    code, text, _ = run(capsys, "roll", TOURING, "--tolerances", "--json")
    assert code == 0
    states = json.loads(text)["states"]
    keys = {"roll_gradient_band_deg_per_g": None, "secant_roll_gradient_band_deg_per_g": SECANT_AT}
    for key, at in keys.items():
        ends = band(lean_samples(found.job, found.tolerances, "touring", at=at))
        wanted = [to_unit(end, "deg/g") for end in (ends.low, ends.high)]
        assert states["touring"][key] == pytest.approx(wanted, rel=1e-9)
    for state in states.values():
        low, high = state["roll_gradient_band_deg_per_g"]
        assert low < state["roll_gradient_deg_per_g"] < high
    low, high = states["touring"]["secant_roll_gradient_band_deg_per_g"]
    code, text, _ = run(capsys, "roll", TOURING, "--tolerances")
    assert f"{low:.2f}–{high:.2f}" in text
    assert max(map(len, text.splitlines())) <= WIDTH
    _, plain, _ = run(capsys, "roll", TOURING, "--json")
    assert not any("band" in key for key in json.loads(plain)["states"]["touring"])


def test_without_tolerances_there_is_no_band(capsys):
    path = ROOT / "scenarios" / "low-car.toml"
    _, text, _ = run(capsys, "roll", path, "--tolerances", "--json")
    read = json.loads(text)
    assert not any("band" in key for state in read["states"].values() for key in state)
    assert read["notes"].count("no input has a tolerance, so there is no band of the lean") == 1
    _, table, _ = run(capsys, "roll", path, "--tolerances")
    assert "no input has a tolerance" in table


def test_a_band_that_may_tip_is_null_with_its_reason():
    high = LeanBands("as_used", Band(0.01, 0.02), Band(0.012, math.inf))
    assert band_keys(high)["secant_roll_gradient_band_deg_per_g"] is None
    assert all(x > 0.0 for x in band_keys(high)["roll_gradient_band_deg_per_g"])
    (note,) = band_notes([high])
    assert note.startswith("as_used: a band of the lean is null")
    assert [row.cells for row in band_rows([high])][1] == ("may tip",)
