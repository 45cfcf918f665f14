"""`--plot FILE`: what is drawn is what the command answers, and the file takes no other's place."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from matplotlib.colors import to_hex
from matplotlib.text import Text

from rollsim.cli import main
from rollsim.plots import canvas, choice_picture, travel_picture
from rollsim.plots.canvas import line_style
from rollsim.shipped import SCENARIOS as FOLDER
from rollsim.tell.of_states import PARTS
from tests.builders import EVERY
from tests.test_cli import TOP_HEAVY, run, variant

ROOT = Path(__file__).parents[1]
SCENARIOS = sorted(FOLDER.glob("*.toml"))
ARRIVES, LOG = FOLDER / "arrives-loaded-and-lifted.toml", FOLDER / "road-test-demo.csv"
TOURING = FOLDER / "crew-cab-touring.toml"
STARTS = {".png": b"\x89PNG", ".svg": b"<?xml", ".pdf": b"%PDF"}
UNITS = {"metric": ("N", 1.0, 1.0), "imperial": ("lbf", 4.4482216152605, 25.4)}
"""Unit of force, newtons in it and millimetres in that of length: exact by definition."""


@pytest.fixture
def drawn(monkeypatch):
    """The figures that commands have drawn."""
    figures, save = [], canvas.as_bytes
    monkeypatch.setattr(
        canvas, "as_bytes", lambda figure, kind: figures.append(figure) or save(figure, kind)
    )
    return figures


def answered(capsys, tmp_path, command, *arguments, units="metric"):
    """The JSON of a command that draws as well."""
    words = [str(word) for word in (command, *arguments, "--units", units)]
    picture = tmp_path / "picture.png"
    code, out, err = run(capsys, *words, "--json", "--plot", picture)
    assert (code, err) == (0, "")
    assert picture.read_bytes().startswith(STARTS[".png"])
    return json.loads(out)


def marked(axes, style):
    """Points with the marker and colour of a style, sorted."""
    found = [
        point
        for line in axes.lines
        if line.get_marker() == style["marker"] and line.get_color() == style["color"]
        for point in zip(line.get_xdata(), line.get_ydata(), strict=True)
    ]
    return np.array(sorted(found)).reshape(-1, 2)


def shown_words(figure):
    return [text.get_text() for text in figure.findobj(Text)]


# What is drawn


@pytest.mark.parametrize(
    ("path", "units"),
    [(TOURING, "metric"), (ARRIVES, "imperial"), (FOLDER / "low-car.toml", "metric")],
    ids=["crew-cab-touring", "arrives-loaded-and-lifted", "low-car"],
)
def test_lean_wheel_loads_and_transfer_are_those_of_the_answer(
    capsys, tmp_path, drawn, path, units
):
    record = answered(capsys, tmp_path, "roll", path, units=units)["states"]
    record = {name.replace("_", " "): state for name, state in record.items()}
    (figure,), (force, newtons, _) = drawn, UNITS[units]
    lean, wheels, transfer = figure.subfigs
    lines = {line.get_label(): line for line in lean.axes[0].lines}
    panels = {axes.get_title(loc="left"): axes for axes in wheels.axes if axes.get_title("left")}
    states = [name for label in panels for name in [label.partition(":")[0]]]
    assert len(states) >= 2
    bars = transfer.axes[0].patches
    assert force in transfer.axes[0].get_xlabel()
    for number, name in enumerate(states):
        state = record[name]
        label = f"{name}: tips at {state['tip_over_threshold_g']:.2f} g"
        at, rolled = lines[label].get_data()
        for point in state["curve"]:
            g = point["lateral_acceleration_g"]
            assert np.abs(np.array(at) - g).min() < 1e-9  # a point of the line, not between two
            assert np.interp(g, at, rolled) == pytest.approx(point["roll_angle_deg"], abs=1e-6)
            loads = list(point["wheel_loads_N"].values())
            for line, load in zip(panels[label].lines, loads, strict=True):
                assert np.interp(g, *line.get_data()) * newtons == pytest.approx(load, rel=1e-6)
        assert max(at) < state["tip_over_threshold_g"]
        for axle, end in enumerate(("front", "rear")):
            first = (2 * number + axle) * len(PARTS)
            parts = [bar.get_width() * newtons for bar in bars[first : first + 3]]
            wanted = state["load_transfer"][end]
            assert parts == pytest.approx([wanted[one.key] for one in PARTS])
            total = f"  {wanted['total_N'] / newtons:.0f} {force}"
            assert total in shown_words(transfer)


def test_what_tips_before_ends_its_line_and_is_said(capsys, tmp_path, drawn):
    record = answered(capsys, tmp_path, "roll", variant(tmp_path, *TOP_HEAVY))
    tip = record["states"]["touring"]["tip_over_threshold_g"]
    assert tip < 0.4
    lean, _, transfer = drawn[0].subfigs
    (line,) = [one for one in lean.axes[0].lines if one.get_label().startswith("touring:")]
    assert tip * 0.99 < max(line.get_xdata()) < tip
    assert line.get_label() == f"touring: tips at {tip:.2f} g"
    assert shown_words(transfer).count("  tips before 0.4 g") == 2
    assert not any("nan" in words for words in shown_words(drawn[0]))


@pytest.mark.parametrize(
    ("path", "units"),
    [(TOURING, "imperial"), (FOLDER / "beyond-a-bar.toml", "metric")],
    ids=["crew-cab-touring", "beyond-a-bar"],
)
def test_dots_target_and_limits_are_those_of_the_answer(capsys, tmp_path, drawn, path, units):
    record = answered(capsys, tmp_path, "size", path, units=units)
    (figure,) = drawn
    styles = choice_picture._REJECTED, choice_picture._ACCEPTED, choice_picture._CHOSEN
    chosen = record["choice"] and (record["choice"]["section"], record["choice"]["hole"])
    kinds = [
        0 if not c["accepted"] else 2 if (c["section"], c["hole"]) == chosen else 1
        for c in record["candidates"]
    ]
    shares = [c["front_load_transfer_share"] + c["front_share_drop"] for c in record["candidates"]]
    # Defaults of a file without [limits] (docs/scenario-format.md): 1.2, and 0.10 below now.
    limits = (1.2, shares[0] - 0.10)
    for axes, key, least in zip(
        figure.axes, ("safety_factor", "front_load_transfer_share"), limits, strict=True
    ):
        for number, style in enumerate(styles):
            wanted = sorted(
                (c["roll_gradient_deg_per_g"], c[key])
                for c, kind in zip(record["candidates"], kinds, strict=True)
                if kind == number
            )
            points = marked(axes, style)
            assert points == pytest.approx(np.array(wanted).reshape(-1, 2), rel=1e-6)
        upright = {line.get_xdata()[0] for line in axes.lines if len({*line.get_xdata()}) == 1}
        assert any(at == pytest.approx(record["target_deg_per_g"]) for at in upright)
        (corner,) = axes.patches
        assert corner.get_y() == pytest.approx(least)
        right = corner.get_x() + corner.get_width()
        assert right == pytest.approx(1.05 * record["target_deg_per_g"])
        for at, height in marked(axes, styles[1]).tolist() + marked(axes, styles[2]).tolist():
            assert corner.contains_point(axes.transData.transform((at, height)))


def test_names_of_bars_lie_over_no_dot_and_no_other_name(capsys, tmp_path, drawn):
    answered(capsys, tmp_path, "size", TOURING)
    for axes in drawn[0].axes:
        boxes = [text.get_window_extent() for text in axes.texts]
        assert len(boxes) >= 4
        for n, box in enumerate(boxes):
            assert not any(box.overlaps(other) for other in boxes[n + 1 :])
            for style in (choice_picture._REJECTED, choice_picture._CHOSEN):
                spots = axes.transData.transform(marked(axes, style))
                assert not any(box.contains(*spot) for spot in spots)


@pytest.mark.parametrize("units", UNITS)
def test_travel_is_that_of_the_answer(capsys, tmp_path, drawn, units):
    record = answered(capsys, tmp_path, "springs", TOURING, units=units)["states"]
    unit, millimetres = {"metric": ("mm", 1.0), "imperial": ("in", UNITS["imperial"][2])}[units]
    for axes, end in zip(drawn[0].axes, ("front", "rear"), strict=True):
        at = [point for line in axes.lines for point in _stands(line)]
        wanted = [state[end]["ride_height_change_mm"] for state in record.values()]
        assert [x * millimetres for x in at] == pytest.approx(wanted, abs=1e-6)
        words = [text.get_text() for text in axes.texts]
        for state in record.values():
            for key, name in (("bump", "bump stop"), ("rebound", "full droop")):
                left = state[end][f"{key}_travel_left_mm"] / millimetres
                assert f"{left:.{0 if unit == 'mm' else 2}f} {unit} to {name}" in words


def _stands(line):
    return list(line.get_xdata()) if line.get_marker() == travel_picture._NOW["marker"] else []


def test_stops_that_are_not_given_are_said(capsys, tmp_path, drawn):
    answered(capsys, tmp_path, "springs", ROOT / "tests" / "cases" / "no-stops-soft-steel.toml")
    for axes in drawn[0].axes:
        words = [text.get_text() for text in axes.texts]
        assert set(words) == {"bump stop not given", "full droop not given"}
        filled = {to_hex(patch.get_facecolor()) for patch in axes.patches if patch.get_fill()}
        assert travel_picture._USED not in filled  # nobody knows what is used


def test_readings_and_lines_are_those_of_the_answer(capsys, tmp_path, drawn):
    record = answered(capsys, tmp_path, "road-test", ARRIVES, LOG)
    above, below = drawn[0].axes
    lines = [line for line in above.lines if len(line.get_xdata()) == 2 and line.get_ydata()[1] > 2]
    slopes = [float(np.diff(line.get_ydata())[0] / np.diff(line.get_xdata())[0]) for line in lines]
    wanted = [record["roll_gradient_deg_per_g"], record["predicted_deg_per_g"]]
    assert slopes == pytest.approx(wanted, rel=1e-6)
    readings = marked(above, {"marker": "o", "color": canvas.INK})
    left = marked(below, {"marker": "o", "color": canvas.INK})
    ends = record["range_g"]
    assert len(readings) == len(left) == record["bends"]["left"] + record["bends"]["right"]
    assert np.abs(readings[:, 0]).min() >= ends[0] * 0.97
    assert np.abs(readings[:, 0]).max() <= ends[1] * 1.03
    line = record["offset_deg"] + np.sign(readings[:, 0]) * record["friction_deg"]
    line += record["roll_gradient_deg_per_g"] * readings[:, 0]
    assert readings[:, 1] - line == pytest.approx(left[:, 1], abs=1e-6)


def test_no_two_lines_look_alike():
    styles = [line_style(number) for number in range(36)]
    assert len({(style["color"], str(style["linestyle"])) for style in styles}) == 36
    assert len({str(style["linestyle"]) for style in styles[:6]}) == 6  # without colour too


@pytest.mark.parametrize("command", ["roll", "size", "springs"])
def test_every_scenario_is_drawn_without_a_warning(capsys, tmp_path, command):
    for number, path in enumerate(SCENARIOS if EVERY else SCENARIOS[::3]):
        if command == "size" and path.stem == "low-car":
            continue  # it has no bar to be sized
        ending = list(STARTS)[number % 3]
        picture, units = tmp_path / f"{path.stem}{ending.upper()}", list(UNITS)[number % 2]
        code, out, err = run(capsys, command, path, "--units", units, "--plot", picture)
        assert (code, err) == (0, "")
        assert out.endswith(f"\n\n{picture}: picture written.\n")
        assert picture.read_bytes().startswith(STARTS[ending])


def test_names_of_a_file_stay_as_they_are(capsys, tmp_path, drawn):
    name = "two $dollars$ and \N{GRINNING FACE}"
    path = variant(tmp_path, ('"touring"', f'"{name}"'))
    answered(capsys, tmp_path, "roll", path)
    assert any(words.startswith(f"{name}: tips at") for words in shown_words(drawn[0]))


# The file


def test_the_same_vehicle_gives_the_same_file(tmp_path):
    """Here, and in a process with another order of hashes and a reader's own settings."""
    here, there = (
        [str(tmp_path / f"{where}{ending}") for ending in STARTS] for where in ("here", "there")
    )
    for picture in here:
        assert main(["springs", str(TOURING), "--plot", picture]) == 0
    code = (
        "from rollsim.cli import main\n"
        f"for picture in {there!r}:\n"
        f"    assert main(['springs', {str(TOURING)!r}, '--plot', picture]) == 0\n"
    )
    (tmp_path / "matplotlibrc").write_text("axes.facecolor: red\nlines.linewidth: 9\n")
    settings = {"PYTHONHASHSEED": "2", "PYTHONPATH": str(ROOT), "MATPLOTLIBRC": str(tmp_path)}
    line = [sys.executable, "-c", code]
    subprocess.run(line, check=True, capture_output=True, env={**os.environ, **settings})
    for first, second in zip(map(Path, here), map(Path, there), strict=True):
        assert first.read_bytes() == second.read_bytes(), first.name
        assert not re.search(rb"CreationDate|<dc:date>", first.read_bytes())


@pytest.mark.parametrize("name", ["picture.gif", "picture", "job.toml", "png"])
def test_another_ending_is_refused(capsys, tmp_path, name):
    code, out, err = run(capsys, "roll", TOURING, "--plot", tmp_path / name)
    assert (code, out) == (2, "")
    assert "--plot" in err
    assert name in err
    assert "allowed a name that ends in .png, .svg or .pdf" in err
    assert list(tmp_path.iterdir()) == []


def test_a_place_that_takes_no_file_is_told(capsys, tmp_path):
    (tmp_path / "folder.png").mkdir()
    (tmp_path / "link.png").symlink_to(tmp_path / "target.png")
    for name, reason in (
        ("missing/picture.png", "No such file"),
        ("folder.png", "folder or a device"),
        ("link.png", "link to another file"),
    ):
        code, out, err = run(capsys, "springs", TOURING, "--plot", tmp_path / name)
        assert (code, out) == (2, "")
        assert re.fullmatch(rf"--plot: .*{name} cannot be written \(.*{reason}.*\); .*\n", err)
    assert not (tmp_path / "target.png").exists()


def test_a_picture_never_takes_the_place_of_what_is_read(capsys, tmp_path):
    scenario, log = tmp_path / "job.svg", tmp_path / "log.png"
    scenario.write_bytes(ARRIVES.read_bytes())
    log.write_bytes(LOG.read_bytes())
    (tmp_path / "same.svg").hardlink_to(scenario)
    lines = [("roll", scenario, "--plot", scenario), ("size", scenario, "--plot", scenario)]
    lines += [("springs", scenario, "--plot", tmp_path / "same.svg")]
    lines += [("road-test", scenario, log, "--plot", log)]
    new = ("--calibrate", "total", "-o", tmp_path / "new.png", "--plot", tmp_path / "new.png")
    lines += [("road-test", scenario, log, *new)]
    for line in lines:
        code, out, err = run(capsys, *line)
        assert (code, out) == (2, "")
        assert "is a file that this command reads or writes; name another" in err
    assert scenario.read_bytes() == ARRIVES.read_bytes()
    assert log.read_bytes() == LOG.read_bytes()
    assert not (tmp_path / "new.png").exists()


def test_a_log_without_a_figure_is_not_drawn(capsys, tmp_path):
    short, picture = tmp_path / "short.csv", tmp_path / "picture.png"
    short.write_text("\n".join(LOG.read_text("utf-8").splitlines()[:400]), encoding="utf-8")
    code, out, err = run(capsys, "road-test", ARRIVES, short, "--plot", picture)
    assert (code, err) == (0, "")
    assert "no picture was written: the log gives no figure" in " ".join(out.split())
    assert not picture.exists()
    assert run(capsys, "road-test", ARRIVES, "--plot", picture)[::2] == (
        2,
        "road-test: --plot: needs LOG; give the log of the drive\n",
    )


def test_a_picture_loads_no_more_than_it_needs(tmp_path):
    line = ["roll", str(TOURING), "--plot", str(tmp_path / "picture.svg")]
    ask = "[m for m in ('matplotlib', 'matplotlib.pyplot', 'pandas', 'altair') if m in sys.modules]"
    run = f"import sys\nfrom rollsim.cli import main\nmain({line})\nprint({ask}, file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", run], cwd=ROOT, capture_output=True, text=True)
    assert done.stderr == "['matplotlib']\n"


def test_without_matplotlib_the_command_says_what_is_missing(capsys, tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    code, out, err = run(capsys, "roll", TOURING, "--plot", tmp_path / "picture.svg")
    assert (code, out) == (1, "")
    assert err.startswith("rollsim: --plot needs matplotlib, not installed here; ")
    assert main(["check", str(TOURING)]) == 0
