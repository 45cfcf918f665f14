"""Texts that were made to take all memory or all time, and what is said of each.

`python -m tests.hostile` measures every one in a process of its own: processor seconds and
MiB.
"""

import base64
import json
import resource
import subprocess
import sys
import time
import zlib
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from rollsim.mass import AS_WEIGHED
from rollsim.road_answer import answer
from rollsim.road_test import LogError, parse_log
from rollsim.scenario import ScenarioError, loads
from rollsim.scenario.editing import added, changed, removed, value
from rollsim.scenario.embedded import Source, embed, extract
from rollsim.scenario.packing import packed, unpacked

TEXT = (Path(__file__).parent / "data" / "crew_cab.toml").read_text(encoding="utf-8")
MOST_MEMORY = 1024  # MiB
LOAD = """[[load]]
name = "load {n}"
mass = "{mass}"
behind_front_axle = "2000 mm"
height = "900 mm"
"""
STOCK = """[[rear_bar.stock]]
material = "{name}"
sections = ["20 mm solid"]
"""


def _many(line: str, count: int) -> str:
    return "".join(line.format(n=n) for n in range(count))


def _with(old: str, new: str) -> str:
    assert old in TEXT
    return TEXT.replace(old, new, 1)


def _lists(sections: int, holes: int) -> str:
    text = TEXT
    for key, items in (
        ("sections", (f"{12 + n / 100} mm solid" for n in range(sections))),
        ("arm_holes", (f"{200 + n / 10} mm" for n in range(holes))),
    ):
        line = next(line for line in TEXT.splitlines() if line.startswith(f"{key} = "))
        text = text.replace(line, f"{key} = {json.dumps(list(items))}")
    return text


_STEEL = 'material = "51CrV4 quenched and tempered"'
_LARGE, _DEEP, _LINES = "is larger than 100 kB", "is a key of", "has more than 5000 lines"

TEXTS: dict[str, tuple[Callable[[], str], str]] = {
    # as large as an upload may be
    "key of 30,000 parts": (lambda: ".".join(["a"] * 30_000) + " = 1", "is a key of 30000 parts"),
    "header of 30,000 parts": (lambda: f"[{'.'.join(['a'] * 30_000)}]", "is a key of 30000 parts"),
    "key of 400,000 parts": (lambda: ".".join(["a"] * 400_000) + " = 1", _LARGE),
    "150,000 unknown keys": (lambda: _many("k{n} = 1\n", 150_000), _LARGE),
    "200,000 headers": (lambda: _many("[a{n}]\n", 200_000), _LARGE),
    "1,000,000 brackets": (lambda: "a = " + "[" * 1_000_000, _LARGE),
    "2 MB of blank lines": (lambda: "\n" * 2_000_000, _LARGE),
    "2 MB of comment": (lambda: TEXT + "#" * 1_990_000, _LARGE),
    "2 MB of string": (lambda: f'title = "{"x" * 1_990_000}"', _LARGE),
    "2 MB of digits": (lambda: "a = " + "9" * 1_990_000, _LARGE),
    "2 MB beyond ASCII": (lambda: f'title = "{"é" * 990_000}"', _LARGE),
    # as large as a text may be
    "quoted key of 20,000 parts": (lambda: ".".join(['"a"'] * 20_000) + " = 1", _DEEP),
    "spaced key of 20,000 parts": (lambda: " \t. ".join(["a"] * 15_000) + " = 1", _DEEP),
    "key of 9 parts": (lambda: "a.b.c.d.e.f.g.h.i = 1", "is a key of 9 parts; allowed up to 8"),
    "9 lists deep": (lambda: f"a = {'[' * 9}{']' * 9}", "9 deep; allowed up to 8"),
    "9 tables deep": (lambda: "a = " + "{b = " * 9 + "1" + "}" * 9, "9 deep; allowed up to 8"),
    "10,000 unknown keys": (lambda: _many("k{n}=1\n", 10_000), _LINES),
    "2,001 keys": (lambda: _many("k{n}=1\n", 2001), "holds 2001 keys; allowed up to 2000"),
    "1,500 keys near a known one": (lambda: TEXT + _many("front_trak{n} = 1\n", 1500), "more"),
    "1,500 unknown keys of 50 letters": (
        lambda: _many("q{n}" + "wheelbasetrackcgheightmass" + "m" * 20 + " = 1\n", 1500),
        "and 1454 more errors; mend these first",
    ),
    "key of 90,000 letters": (lambda: "k" * 90_000 + " = 1\n" + TEXT, "unknown key"),
    "2,000 headers": (lambda: _many("[a{n}]\n", 2000), "more errors"),
    "2,001 headers": (lambda: _many("[a{n}]\n", 2001), "holds 2001 opening brackets"),
    "headers out of order": (lambda: _many("[a.b{n}]\n[b.c{n}]\n", 1000), "unknown key"),
    "lists of tables inside each other": (lambda: _many("[[a]]\n[[a.b]]\n", 500), "unknown key"),
    "5,001 commas": (lambda: f"a = [{'1,' * 5001}]", "holds 5001 commas"),
    "blank lines": (lambda: "\n" * 5001, _LINES),
    "blanks": (lambda: TEXT + " " * 90_000, ""),
    "comments": (lambda: TEXT + "#" * 90_000, ""),
    "string of 90,000 letters": (
        lambda: _with("Crew-cab, touring load", "x" * 90_000),
        "title: found 90000 characters; allowed at most 200",
    ),
    "escapes": (lambda: _with("Crew-cab, touring load", r"\n" * 45_000), "found an empty text"),
    "open string of escapes": (lambda: 'a = """' + r"\"" " " "" * 20_000, "not readable as TOML"),
    "open strings": (lambda: "a = " + "'''x''" * 16_000, "not readable as TOML"),
    "integer of 90,000 digits": (lambda: "a = " + "9" * 90_000, "a number too long"),
    "hexadecimal of 90,000 digits": (
        lambda: _with('track = "1560 mm"', "track = 0x" + "f" * 90_000),
        "front.track: found the number with more than twelve digits",
    ),
    "decimal of 90,000 digits": (
        lambda: _with('track = "1560 mm"', "track = 0." + "1" * 90_000),
        "front.track: found the number 0.111111",
    ),
    "steel of 90,000 letters": (
        lambda: _with(_STEEL, f'material = "{"x" * 90_000}"'),
        "rear_bar.material: found 90000 characters; allowed at most 200",
    ),
    "101 loads": (
        lambda: TEXT + "".join(LOAD.format(n=n, mass="1 kg") for n in range(100)),
        "tables [[load]]; allowed up to 100",
    ),
    "100 loads that are wrong": (
        lambda: "".join(LOAD.format(n=n, mass="1,5/3 stone and a bit ± 4 lb") for n in range(100)),
        "more errors; mend these first",
    ),
    "90 loads more": (lambda: TEXT + "".join(LOAD.format(n=n, mass="1 kg") for n in range(90)), ""),
    "1,900 cases": (
        lambda: TEXT.replace('cases = ["touring"]', f"cases = {list(map(str, range(1900)))}", 1),
        "cases; allowed up to 20",
    ),
    "21 steels": (
        lambda: TEXT + "".join(STOCK.format(name=f"unknown {n}") for n in range(21)),
        "found 21 tables [[rear_bar.stock]]; allowed up to 20",
    ),
    "20 unknown steels": (
        lambda: TEXT + "".join(STOCK.format(name=f"{n} {'tempered ' * 20}") for n in range(20)),
        "no built-in steel",
    ),
    "45 sections in 45 holes": (lambda: _lists(45, 45), "are 2025 bars; allowed up to 2000"),
    "40 sections in 50 holes": (lambda: _lists(40, 50), ""),
    "2,000 sections": (lambda: _lists(2000, 1), ""),
}
"""Name, text, and what its errors hold; empty where it is answered."""

LINKS: dict[str, tuple[Callable[[], str], str]] = {
    "bomb of 100 MB": (lambda: _pressed(_bomb(100)), "cut short or is larger than 100 kB"),
    "bomb in a bomb": (lambda: _pressed(zlib.compress(_bomb(100))), "damaged or not a scenario"),
    "link of 2 MB": (lambda: "A" * 2_000_000, "is larger than 200 kB"),
    "not pressed": (lambda: _pressed(b"x" * 100_000), "damaged or not a scenario"),
    "key of 30,000 parts": (lambda: packed(TEXTS["key of 30,000 parts"][0]()), ""),
}
SHEETS: dict[str, Callable[[], str]] = {
    "2 MB of lists": lambda: _sheet("[" * 1_400_000),
    "2 MB of tables": lambda: _sheet("[" + "{}," * 450_000 + "{}]"),
    "2 MB of digits": lambda: _sheet("9" * 1_400_000),
    "open": lambda: '<meta name="rollsim-scenario" content="' * 50_000,
    "a text of 30,000 parts": lambda: embed(
        Source("a.toml", TEXTS["key of 30,000 parts"][0](), (("a.csv", "x" * 1_000_000),))
    ),
}
_ROWS = "".join(f"{n / 100:.2f},0.1,0.2\n" for n in range(300))
LOGS: dict[str, tuple[Callable[[], bytes], str]] = {
    "2 MB of bends": (lambda: _bends(21), ""),
    "2 MB of short rows": (lambda: _log(_many("0,0,0\n", 333_000)), "is the same in every row"),
    "2 MB of blank cells": (
        lambda: _log("0,0,0\n" + _many("{n},,-\n", 190_000)),
        "found 1 numbers",
    ),
    "2 MB of decimal commas": (
        lambda: _log(_many('"{n},0","0,1","0,2"\n', 80_000)),
        "the log runs at",
    ),
    "2 MB of clock times": (
        lambda: _log(_many("2026-05-01T10:00:00.10,1,1\n", 66_000)),
        "is the same in every row",
    ),
    "2 MB of words": (lambda: _log("0,0,0\n" + _many("a,b,c\n", 333_000)), "more cells like these"),
    "700 columns": (
        lambda: _log(_many(f"{{n}}{',0.125' * 700}\n", 460), "," + ",".join("x" * 700)),
        "the log runs at",
    ),
    "30,000 columns": (
        lambda: f"{','.join('a' * 15_000)}\n{','.join('1' * 15_000)}\n".encode(),
        "found no column that looks like time",
    ),
    "2 MB of quotes": (lambda: _log('"' * 2_000_000), "found no row of numbers"),
    "name of 60,000 brackets": (lambda: _log(_ROWS, "(" * 60_000), "its name has 60015"),
    "name of 30,000 words": (
        lambda: f"time,{'g ' * 30_000},q\n{_ROWS}".encode(),
        "its name has 59999 characters; allowed at most 200",
    ),
}
"""Name, log, and what its errors hold; empty where it is answered."""


def _log(rows: str, more: str = "") -> bytes:
    return f"time_s,lateral_acceleration_g,roll_rate_deg_s{more}\n{rows}".encode()


def _bends(times: int) -> bytes:
    """The demo log driven so many times on end."""
    path = Path(__file__).parents[1] / "scenarios" / "road-test-demo.csv"
    head, *rows = path.read_text(encoding="utf-8").splitlines()
    cells = [row.partition(",") for row in rows]
    lasts = float(cells[-1][0]) + 0.1
    lines = (f"{float(t) + n * lasts:.1f},{rest}" for n in range(times) for t, _, rest in cells)
    return "\n".join((head, *lines)).encode()


def _bomb(size: int) -> bytes:
    """So many MB of spaces, pressed piece by piece."""
    press = zlib.compressobj(9)
    pieces = [press.compress(b" " * 1_000_000) for _ in range(size)]
    return b"".join((*pieces, press.flush()))


def _pressed(data: bytes) -> str:
    return base64.urlsafe_b64encode(data).decode()


def _sheet(inside: str) -> str:
    held = base64.b64encode(inside.encode()).decode()
    return f'<meta name="rollsim-scenario" content="{held}">'


def told(text: str) -> tuple[str, ...]:
    """Errors of a text; none where it is answered."""
    try:
        loads(text, "hostile.toml")
    except ScenarioError as wrong:
        return wrong.errors
    return ()


def driven(data: bytes) -> tuple[str, ...]:
    """Errors of a log; none where it is answered."""
    try:
        log = parse_log(data, "hostile.csv")
    except LogError as wrong:
        return wrong.errors
    answer(loads(TEXT, "a.toml"), log, AS_WEIGHED)
    return ()


def edited(text: str) -> None:
    """What the page does with a text beside reading it."""
    with suppress(ValueError):
        value(text, "front.track")
    for change in (
        lambda: changed(text, {"front.track": "1500 mm", "title": None}),
        lambda: added(text, "load", {"name": "box", "mass": "20 kg"}),
        lambda: removed(text, "load", 0),
    ):
        with suppress(ValueError):
            change()


def all_of_it() -> dict[str, Callable[[], object]]:
    """Every hostile input with what is done to it, by name."""
    found: dict[str, Callable[[], object]] = {}
    for name, (make, _) in TEXTS.items():
        found[f"read: {name}"] = lambda make=make: told(make())
        found[f"edit: {name}"] = lambda make=make: edited(make())
    for name, (make, _) in LINKS.items():
        found[f"link: {name}"] = lambda make=make: _link(make())
    for name, (make, _) in LOGS.items():
        found[f"log: {name}"] = lambda make=make: driven(make())
    for name, make in SHEETS.items():
        found[f"sheet: {name}"] = lambda make=make: _held(make())
    return found


def _link(parameter: str) -> None:
    with suppress(ValueError):
        told(unpacked(parameter))


def _held(html: str) -> None:
    held = extract(html)
    if held is not None:
        told(held.text)


def peak() -> float:
    """Greatest memory of this process until now [MiB], not of the one that started it."""
    status = Path("/proc/self/status")  # ru_maxrss begins with what the parent held
    if not status.exists():
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return int(status.read_text().split("VmHWM:")[1].split()[0]) / 1024


if __name__ == "__main__":
    if len(sys.argv) > 1:
        work = all_of_it()[sys.argv[1]]
        told(TEXT)  # imports
        begun = time.process_time()
        work()
        print(json.dumps([round(time.process_time() - begun, 3), round(peak())]))
    else:
        for one in all_of_it():
            line = [sys.executable, "-m", "tests.hostile", one]
            done = subprocess.run(line, capture_output=True, text=True, check=True)
            print(f"{one}: {done.stdout.strip()}", flush=True)
