"""Every command and every page once: as checked out, with the lowest versions, and as a wheel."""

import argparse
import json
import os
import subprocess
import sys
import sysconfig
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest
from streamlit.testing.v1 import AppTest

from rollsim.cli import _parser, main
from rollsim.shipped import SCENARIOS
from tests.bad_input_bay import ROD_TEXT
from tests.test_cli_springs import LEAN, LIFT, LOAD
from tests.test_network import EVERYWHERE, HERE, TABLES, free_port, listened_on, running

ROOT = Path(__file__).parents[1]
BAR = ("weigh", "bar", "--section", "26 mm solid", "--centre-length", "800 mm")
BAR += ("--bush-spacing", "700 mm", "--arm-hole", "250 mm")
TWIST = ("--block", "125 mm", "--first", "640 kg", "470 kg", "340 kg", "540 kg")
TWIST += ("--second", "470 kg", "640 kg", "540 kg", "340 kg", "--first-levels", "2.4 deg")
TWIST += ("-0.2 deg", "2.1 deg", "--second-levels", "-2.2 deg", "0.4 deg", "-1.9 deg")
BOUNCE = ("weigh", "bounce", "--run", "80 mm", "30 mm", "11 mm")
COMMANDS = {
    ("roll",): ("roll", "crew-cab-touring.toml", "--tolerances", "--plot", "roll.png"),
    ("size",): ("size", "crew-cab-touring.toml"),
    ("springs",): ("springs", "crew-cab-touring.toml", "--json"),
    ("solve",): (
        *("solve", "crew-cab-touring.toml", "--most", "roof load"),
        *("--so-that", "lean <= 8 deg/g", "-o", "solved.toml"),
    ),
    ("check",): ("check", "high-roof-van.toml"),
    ("sheet",): ("sheet", "crew-cab-touring-imperial.toml", "-o", "job.html"),
    ("road-test",): (
        *("road-test", "arrives-loaded-and-lifted.toml", "road-test-demo.csv"),
        *("--calibrate", "total", "-o", "new.toml"),
    ),
    ("jobs",): ("jobs", ".", "--json"),  # where the sheet was just written
    ("range",): (
        *("range", "crew-cab-touring.toml", "--bars", "shelf-demo.csv"),
        *("-o", "range.csv", "--plot", "range.png"),
    ),
    ("weigh", "axle-lift"): LIFT,
    ("weigh", "load-test"): LOAD,
    ("weigh", "lean-test"): LEAN,
    ("weigh", "roll-centre"): ("weigh", "roll-centre", "taped.toml"),
    ("weigh", "bar"): BAR,
    ("weigh", "bounce"): BOUNCE,
    ("weigh", "frame-twist"): ("weigh", "frame-twist", "crew-cab-touring.toml", *TWIST),
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


RUN_ALL = """
import contextlib, io, json, sys
from rollsim.cli import main
wrong = []
for words in json.load(sys.stdin):
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main(words)
    if code or err.getvalue() or not out.getvalue().strip():
        wrong.append([words, code, err.getvalue()[-500:]])
json.dump(wrong, sys.stdout)
"""


def run_all(python: str | Path, demo: Path, folder: Path, **more: str) -> None:
    """Run every command from a folder, with more in its environment; all failures at once."""
    (folder / "taped.toml").write_text(ROD_TEXT, encoding="utf-8")
    env = {**{name: text for name, text in os.environ.items() if name != "PYTHONPATH"}, **more}
    files = {path.name: str(path) for path in demo.iterdir()}
    lines = json.dumps([[files.get(word, word) for word in line] for line in COMMANDS.values()])
    done = subprocess.run(
        [python, "-c", RUN_ALL], cwd=folder, env=env, input=lines, capture_output=True, text=True
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout) == []
    assert (folder / "job.html").stat().st_size > 10_000
    assert (folder / "new.toml").stat().st_size > 1_000


def test_no_command_is_left_out():
    assert {*COMMANDS, ("page",)} == set(names(_parser()))  # the page has a test of its own


# Under the lowest versions there is no wheel; elsewhere the wheel's own test runs the same lines.
@pytest.mark.skipif("ROLLSIM_FLOORS" not in os.environ, reason="the wheel runs them all as well")
def test_every_command_runs(tmp_path):
    run_all(sys.executable, SCENARIOS, tmp_path, PYTHONPATH=str(ROOT))


def test_every_page_starts():
    app = AppTest.from_file(ROOT / "app.py", default_timeout=60)
    for name in (
        "fit",
        "carry",
        "springs_weights",
        "see_why",
        "vehicle",
        "road_test",
        "shop",
        "method",
    ):
        app.switch_page(str(ROOT / "rollsim" / "page" / f"{name}.py")).run()
        assert not app.exception, name
        assert not app.error, name


class Installed(NamedTuple):
    """A wheel in an environment of its own, and a folder elsewhere to work in."""

    binaries: Path
    site: Path
    elsewhere: Path

    def python(self, code: str) -> str:
        """What a program prints that is run elsewhere with nothing in its environment."""
        line = [self.binaries / "python", "-c", code]
        done = subprocess.run(line, cwd=self.elsewhere, env={}, capture_output=True, text=True)
        assert done.returncode == 0, done.stderr[-2000:]
        return done.stdout.strip()


@pytest.fixture(scope="module")
def installed(tmp_path_factory) -> Installed:
    """rollsim from a wheel; its libraries are those of this environment."""
    folder = tmp_path_factory.mktemp("wheel")

    def done(*line: str | Path) -> str:
        return subprocess.run(line, cwd=ROOT, check=True, capture_output=True, text=True).stdout

    done(sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", folder)
    (wheel,) = folder.glob("*.whl")
    done(sys.executable, "-m", "venv", "--without-pip", folder / "env")
    binaries = folder / "env" / ("Scripts" if os.name == "nt" else "bin")
    python, elsewhere = binaries / "python", folder / "elsewhere"
    done(sys.executable, "-m", "pip", "--python", python, "install", "-q", "--no-deps", wheel)
    tell = "import sysconfig; print(sysconfig.get_path('purelib'))"
    site = Path(done(python, "-c", tell).strip())
    (site / "libraries.pth").write_text(sysconfig.get_path("purelib"))
    elsewhere.mkdir()
    return Installed(binaries, site, elsewhere)


def test_a_wheel_installed_elsewhere_runs_every_command(installed):
    demo = Path(installed.python("import rollsim.shipped; print(rollsim.shipped.SCENARIOS)"))
    assert demo == installed.site / "rollsim" / "checkout" / "scenarios"
    assert {path.name for path in demo.iterdir()} == {
        path.name for path in (ROOT / "scenarios").iterdir()
    }
    run_all(installed.binaries / "python", demo, installed.elsewhere)


START_PAGES = """
from pathlib import Path
import streamlit.testing.v1
import rollsim.page.frame
from rollsim.shipped import APP
app = streamlit.testing.v1.AppTest.from_file(APP, default_timeout=120)
app.query_params["example"] = "low-car"
app.run()
assert not app.exception, app.exception
pages = Path(rollsim.page.frame.__file__).parent
app.switch_page(str(pages / "method.py")).run()
assert not app.exception, app.exception
print(pages)
"""
SETTINGS = """
import streamlit.config as config
from rollsim.shipped import APP
config._main_script_path = str(APP)
config.get_config_options(force_reparse=True)
for key in ("theme.light.primaryColor", "theme.dark.backgroundColor", "server.maxUploadSize"):
    print(config.get_option(key))
"""


def test_a_wheel_installed_elsewhere_holds_the_page(installed):
    *told, pages = installed.python(f"{SETTINGS}\n{START_PAGES}").splitlines()[-4:]
    assert Path(pages) == installed.site / "rollsim" / "page"
    declared = tomllib.loads((ROOT / ".streamlit" / "config.toml").read_text("utf-8"))
    theme, limit = declared["theme"], declared["server"]["maxUploadSize"]
    wanted = [theme["light"]["primaryColor"], theme["dark"]["backgroundColor"], str(limit)]
    assert told == wanted


@pytest.mark.skipif(not TABLES, reason="needs the socket tables of Linux")
@pytest.mark.parametrize(("more", "expected"), [((), HERE), (("--address", "0.0.0.0"), EVERYWHERE)])
def test_a_wheel_installed_elsewhere_starts_the_page_on_this_computer(installed, more, expected):
    port = free_port()
    env = {"STREAMLIT_SERVER_ADDRESS": "0.0.0.0", "HOME": str(installed.elsewhere)}
    line = [installed.binaries / "rollsim", "page", "--no-browser", "--port", str(port), *more]
    with running(line, port, cwd=installed.elsewhere, env=env):
        assert listened_on(port) == {expected}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--port", "0"), "found '0'; allowed a whole number from 1 to 65535"),
        (("--address", "here"), "found 'here'; allowed an address such as 127.0.0.1 or 0.0.0.0"),
    ],
)
def test_a_wrong_place_to_listen_is_told(capsys, words, said):
    assert main(["page", *words]) == 2
    assert said in capsys.readouterr().err


def test_without_streamlit_the_page_says_what_is_missing(capsys, monkeypatch):
    monkeypatch.setitem(sys.modules, "streamlit", None)
    assert main(["page"]) == 1
    said = "rollsim: the page needs streamlit, not installed here; install it with: pip install "
    assert capsys.readouterr().err == f"{said}streamlit\n"
