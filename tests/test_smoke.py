"""Every command and every page once: as checked out, with the lowest versions, and as a wheel."""

import argparse
import os
import subprocess
import sys
import sysconfig
from collections.abc import Iterator
from pathlib import Path

from streamlit.testing.v1 import AppTest

from rollsim.cli import _parser
from rollsim.demo import FOLDER
from tests.bad_input_bay import ROD_TEXT
from tests.test_cli_springs import LEAN, LIFT, LOAD

ROOT = Path(__file__).parents[1]
BAR = ("weigh", "bar", "--section", "26 mm solid", "--centre-length", "800 mm")
BAR += ("--bush-spacing", "700 mm", "--arm-hole", "250 mm")
COMMANDS = {
    ("roll",): ("roll", "crew-cab-touring.toml", "--tolerances"),
    ("size",): ("size", "crew-cab-touring.toml"),
    ("springs",): ("springs", "crew-cab-touring.toml", "--json"),
    ("check",): ("check", "high-roof-van.toml"),
    ("sheet",): ("sheet", "crew-cab-touring-imperial.toml", "-o", "job.html"),
    ("road-test",): (
        *("road-test", "arrives-loaded-and-lifted.toml", "road-test-demo.csv"),
        *("--calibrate", "total", "-o", "new.toml"),
    ),
    ("weigh", "axle-lift"): LIFT,
    ("weigh", "load-test"): LOAD,
    ("weigh", "lean-test"): LEAN,
    ("weigh", "roll-centre"): ("weigh", "roll-centre", "taped.toml"),
    ("weigh", "bar"): BAR,
}
"""Words of each command, and a run of it; demo files by their names."""


def names(parser: argparse.ArgumentParser, before: tuple = ()) -> Iterator[tuple[str, ...]]:
    """Words of every command that a parser knows."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for name, inner in action.choices.items():
                yield from names(inner, (*before, name))
            return
    yield before


def run_all(program: list[str | Path], demo: Path, folder: Path, **more: str) -> None:
    """Run every command from a folder, with more in its environment; all failures at once."""
    (folder / "taped.toml").write_text(ROD_TEXT, encoding="utf-8")
    env = {**{name: text for name, text in os.environ.items() if name != "PYTHONPATH"}, **more}
    files = {path.name: path for path in demo.iterdir()}
    wrong = []
    for line in COMMANDS.values():
        words = [files.get(word, word) for word in line]
        done = subprocess.run(
            [*program, *words], cwd=folder, env=env, capture_output=True, text=True
        )
        if done.returncode or done.stderr or not done.stdout.strip():
            wrong.append((line, done.returncode, done.stderr[-500:]))
    assert not wrong
    assert (folder / "job.html").stat().st_size > 10_000
    assert (folder / "new.toml").stat().st_size > 1_000


def test_no_command_is_left_out():
    assert set(COMMANDS) == set(names(_parser()))


def test_every_command_runs(tmp_path):
    run_all([sys.executable, "-m", "rollsim"], FOLDER, tmp_path, PYTHONPATH=str(ROOT))


def test_every_page_starts():
    app = AppTest.from_file(ROOT / "app.py", default_timeout=60)
    for name in ("fit", "carry", "springs_weights", "see_why", "vehicle", "road_test", "method"):
        app.switch_page(str(ROOT / "rollsim" / "page" / f"{name}.py")).run()
        assert not app.exception, name
        assert not app.error, name


def test_a_wheel_installed_elsewhere_runs_every_command(tmp_path):
    def done(*line: str | Path) -> str:
        return subprocess.run(line, cwd=ROOT, check=True, capture_output=True, text=True).stdout

    done(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", tmp_path)
    (wheel,) = tmp_path.glob("*.whl")
    done(sys.executable, "-m", "venv", "--without-pip", tmp_path / "env")
    binaries = tmp_path / "env" / ("Scripts" if os.name == "nt" else "bin")
    python, elsewhere = binaries / "python", tmp_path / "elsewhere"
    done(sys.executable, "-m", "pip", "--python", python, "install", "-q", "--no-deps", wheel)
    tell = "import sysconfig; print(sysconfig.get_path('purelib'))"
    site = Path(done(python, "-c", tell).strip())
    (site / "libraries.pth").write_text(sysconfig.get_path("purelib"))  # those of this one
    elsewhere.mkdir()
    tell = "import rollsim.demo; print(rollsim.demo.FOLDER)"
    demo = subprocess.run(
        [python, "-c", tell], cwd=elsewhere, env={}, check=True, capture_output=True, text=True
    ).stdout.strip()
    assert Path(demo) == site / "rollsim" / "scenarios"
    assert {path.name for path in Path(demo).iterdir()} == {
        path.name for path in (ROOT / "scenarios").iterdir()
    }
    run_all([binaries / "rollsim"], Path(demo), elsewhere)
