"""Every output of the project as text, to see what a change of its code changes in them.

`python -m tests.net FOLDER` writes one file for each: commands, sheets, the words of the pages.
`python -m tests.net --record` puts their checksums where tests/test_net.py compares them.
"""

import hashlib
import io
import json
import os
import re
import sys
from contextlib import redirect_stderr, redirect_stdout
from html import unescape
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).resolve().parents[1]
RECORD = Path(__file__).parent / "regression" / "net.json"
SCENARIOS = sorted((ROOT / "scenarios").glob("*.toml"))
CASES = sorted((ROOT / "tests" / "cases").glob("*.toml"))
LOG = ROOT / "scenarios" / "road-test-demo.csv"
PAGES = ("fit", "carry", "springs_weights", "see_why", "vehicle", "road_test")
UNITS = ("metric", "imperial")
DATE = "2026-01-31"
WEIGH = {
    "load-test": [
        *("--up", "50 kg", "7 mm", "--up", "100 kg", "14.2 mm", "--up", "150 kg", "21 mm"),
        *("--down", "100 kg", "15 mm", "--down", "50 kg", "8 mm"),
    ],
    "lean-test": [
        *("--right", "80 kg", "700 mm", "0.4 deg", "--right", "160 kg", "700 mm", "0.81 deg"),
        *("--left", "80 kg", "700 mm", "0.45 deg", "--left", "80 kg", "-700 mm", "-0.4 deg"),
        *("--left", "160 kg", "-700 mm", "-0.8 deg", "--right", "80 kg", "-700 mm", "-0.44 deg"),
    ],
}


def outputs() -> dict[str, str]:
    """Name and text of every output."""
    found = {}
    for path in (*SCENARIOS, *CASES):
        found |= _of_commands(path)
    for path in SCENARIOS:
        found |= _of_road_tests(path)
    for name, words in WEIGH.items():
        for options in _shapes():
            found[f"weigh {name} {' '.join(options)}"] = told("weigh", name, *words, *options)
    for path in SCENARIOS:
        for page in PAGES:
            for units in UNITS if path.stem == "crew-cab-touring" else UNITS[:1]:
                found[f"page {page} {path.stem} {units}"] = words_of_page(page, path, units)
    return found


def told(*arguments: str) -> str:
    """What the command prints, and its exit code."""
    from rollsim.cli import main

    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        try:
            code = main([str(one) for one in arguments])
        except SystemExit as stop:
            code = stop.code
    return f"{out.getvalue()}\n--- {code}\n{err.getvalue()}".replace(str(ROOT), "ROOT")


def words_of_page(page: str, path: Path, units: str) -> str:
    """Every text of a page, in its order."""
    from streamlit.testing.v1 import AppTest

    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=120)
    app.query_params["example"] = path.stem
    app.query_params["units"] = units
    app.run().switch_page(f"rollsim/page/{page}.py").run()
    if page == "road_test":
        app.file_uploader[0].upload(LOG.name, LOG.read_bytes(), "text/csv").run()
    return "\n".join(_words(app))


def _words(app) -> list[str]:
    found = []
    for one in app:
        parts = [one.type, getattr(one, "label", ""), getattr(one, "options", "")]
        held = getattr(one, "value", "")
        parts.append(held.to_csv() if hasattr(held, "to_csv") else held)
        found.append(" | ".join(str(part) for part in parts if part not in ("", None)))
    return found


def _of_commands(path: Path) -> dict[str, str]:
    found = {f"check {path.stem}": told("check", path)}
    for command in ("roll", "size", "springs"):
        for options in _shapes():
            name = f"{command} {path.stem} {' '.join(options)}"
            found[name] = told(command, path, *options)
    if path.parent.name == "scenarios":
        found |= {f"sheet {path.stem} {units}": _sheet(path, units) for units in UNITS}
        found[f"roll --tolerances {path.stem}"] = told("roll", path, "--tolerances", "--json")
    return found


def _of_road_tests(path: Path) -> dict[str, str]:
    found = {}
    for options in _shapes():
        for more in ((), (LOG, "--calibrate", "total"), (LOG, "--calibrate", "cg-height")):
            words = [one.name if isinstance(one, Path) else one for one in (*more, *options)]
            found[f"road-test {path.stem} {' '.join(words)}"] = told(
                "road-test", path, *more, *options
            )
    return found


def _shapes() -> tuple[tuple[str, ...], ...]:
    return (("--json",), *(("--units", units) for units in UNITS))


def _sheet(path: Path, units: str) -> str:
    """The words of a sheet, without its marks."""
    with TemporaryDirectory() as folder:
        sheet = Path(folder) / "sheet.html"
        said = told("sheet", path, "-o", sheet, "--units", units, "--date", DATE)
        html = sheet.read_text("utf-8") if sheet.exists() else ""
    html = re.sub(r"<style.*?</style>|<meta[^>]*>", "", html, flags=re.DOTALL)
    words = (line.strip() for line in unescape(re.sub(r"<[^>]+>", "\n", html)).splitlines())
    return said.replace(folder, "FOLDER") + "\n".join(line for line in words if line)


def checksums(found: dict[str, str]) -> dict[str, str]:
    """Of every output."""
    return {name: hashlib.sha256(text.encode()).hexdigest()[:16] for name, text in found.items()}


def main() -> None:
    (where,) = sys.argv[1:]
    os.environ["COLUMNS"] = "80"
    found = outputs()
    if where == "--record":
        RECORD.write_text(json.dumps(checksums(found), indent=0) + "\n", encoding="utf-8")
        return
    folder = Path(where)
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in found.items():
        (folder / f"{re.sub(r'[^a-z0-9]+', '-', name.lower()).strip('-')}.txt").write_text(text)


if __name__ == "__main__":
    main()
