"""Small wrong changes to the program, and whether a test sees them.

`python -m tests.mutations 300 --seed 16 --into FILE` draws places all over the rooms that compute,
changes one of each (a sign, a factor, a comparison, a constant), and asks first whether any figure
that the commands print for the examples moves by 0.1 %. Where one does, the fast tests of that room
run against the change; what they let live stands in FILE, a line of JSON each, with the figure that
moved most. A run goes on where an earlier one into the same file stopped.

A change is made as the module is imported: no file is touched. Three hundred take an hour or two.
"""

import argparse
import ast
import copy
import importlib.abc
import importlib.machinery
import json
import math
import os
import random
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
ROOMS = {  # and the tests that see it soonest
    "equilibrium": "test_equilibrium_contract reference/test_free_bodies test_twist_by_hand "
    "test_properties reference/test_track_bar "
    "published/test_roll_barton_p174 test_edges_of_the_ranges",
    "mass": "test_mass test_twist_by_hand test_ratings_not_given test_mass_of_a_bar "
    "test_mass_stock test_settled_heights test_on_the_scales "
    "test_roll published/test_ssf_measured_vehicles test_weighed_two_ways",
    "springs": "test_springs published/test_springs_bhandari_ch10 test_spring_check "
    "test_hysteresis",
    "bar": "test_bar test_bar_by_dimensions test_bar_input reference/test_bar_frame "
    "reference/test_bar_by_linkage published/test_torsion_brown_engn0310 test_supplied_sizes "
    "published/test_torsion_staniforth test_mass_of_a_bar",
    "roll": "test_roll test_twist_by_hand test_sizing_by_hand test_swerve "
    "test_hysteresis test_contributions test_notes_of_a_state "
    "reference/test_free_bodies test_equilibrium_contract published/test_roll_barton_p174",
    "sizing": "test_sizing test_sizing_by_hand test_lash_by_hand test_questions_by_hand "
    "test_ratings_by_hand test_inverse test_pair test_helper_by_hand test_solve test_acceptance",
    "balance": "test_understeer_by_hand published/test_tyre_gillespie_ch6 test_sizing_by_hand",
    "spring_check": "test_spring_check test_travel_at_the_wheel test_helper_by_hand "
    "published/test_ride_gillespie_ch5 test_springs_page",
    "measured": "test_measured_bay reference/test_frame_twist_statics test_swerve "
    "test_corrections test_springs_page",
    "wheel_travel": "reference/test_wheel_travel reference/test_leaf_travel test_lift_check",
    "lift_check": "test_lift_check test_lift_input test_travel_at_the_wheel",
    "weighing": "test_weighing reference/test_axle_lift_statics published/test_cg_axle_lift "
    "test_on_the_scales",
    "road_test": "test_road_test_limits test_road_test_reading test_road_test "
    "test_road_test_mounting test_road_test_answer",
}
EXAMPLES = ("crew-cab-touring", "high-roof-van", "arrives-loaded-and-lifted")
MOVED = 1e-3
LONGEST = 240.0  # s of tests for one change
_SWAPS = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.Lt: ast.GtE,
    ast.GtE: ast.Lt,
    ast.Gt: ast.LtE,
    ast.LtE: ast.Gt,
    ast.And: ast.Or,
    ast.Or: ast.And,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}
_NAMES = {"sin": "cos", "cos": "sin", "maximum": "minimum", "minimum": "maximum"}
_NAMES |= {"max": "min", "min": "max", "argmax": "argmin", "argmin": "argmax"}


def sites(tree: ast.Module) -> Iterator[tuple[ast.AST, str]]:
    """Every place that can be changed, in the order of the file, outside annotations."""
    left_out = set()
    for node in ast.walk(tree):
        for name in ("annotation", "returns"):
            if (found := getattr(node, name, None)) is not None:
                left_out |= {id(inner) for inner in ast.walk(found)}
    for node in ast.walk(tree):
        if id(node) not in left_out and (kind := _kind(node)):
            yield node, kind


def _kind(node: ast.AST) -> str:
    """What of it can be changed; empty where nothing can."""
    if isinstance(node, ast.BinOp | ast.BoolOp) and type(node.op) in _SWAPS:
        return "op"
    if isinstance(node, ast.Compare) and type(node.ops[0]) in _SWAPS:
        return "ops"
    if isinstance(node, ast.Constant) and type(node.value) in (int, float):
        return "value"
    if isinstance(node, ast.Attribute) and node.attr in _NAMES:
        return "attr"
    signed = isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub | ast.Not | ast.Invert)
    return "operand" if signed else ""


def change(tree: ast.Module, number: int) -> str:
    """Change the place of that number; what was done, in words."""
    node, kind = list(sites(tree))[number]
    before = ast.unparse(node)
    if kind == "op":
        node.op = _SWAPS[type(node.op)]()
    elif kind == "ops":
        node.ops[0] = _SWAPS[type(node.ops[0])]()
    elif kind == "value":
        whole = isinstance(node.value, int)
        node.value = node.value + 1 if whole else node.value * 1.05 if node.value else 0.01
    elif kind == "attr":
        node.attr = _NAMES[node.attr]
    else:  # the sign or the not goes
        node.op, node.operand = ast.UAdd(), node.operand
        if "not " in before[:4] or before.startswith("~"):
            node.op = ast.Not()
            node.operand = ast.UnaryOp(ast.Not(), node.operand)
    return f"line {node.lineno}: {before[:80]}  →  {ast.unparse(node)[:80]}"


class Changed(importlib.abc.MetaPathFinder, importlib.abc.SourceLoader):
    """Imports one module with one place changed."""

    def __init__(self, module: str, path: Path, number: int) -> None:
        self.module, self.path, self.number = module, path, number

    def find_spec(self, name, path=None, target=None):
        if name != self.module:
            return None
        spec = importlib.machinery.ModuleSpec(name, self, origin=str(self.path))
        spec.has_location = True
        return spec

    def get_filename(self, name):
        return str(self.path)

    def get_data(self, path):
        return Path(path).read_bytes()

    def source_to_code(self, data, path, **_):
        tree = ast.parse(data)
        change(tree, self.number)
        return compile(ast.fix_missing_locations(tree), path, "exec")

    def get_code(self, name):
        return self.source_to_code(self.path.read_bytes(), str(self.path))


def module_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


def install() -> None:
    """Put the change that the environment names in force; nothing without one."""
    named = os.environ.get("ROLLSIM_MUTANT")
    if named:
        file, number = named.rsplit(":", 1)
        path = ROOT / file
        sys.meta_path.insert(0, Changed(module_of(path), path, int(number)))


def printed() -> dict[str, float]:
    """Every number that the commands tell of the examples, by where it stands."""
    install()
    import contextlib
    import io

    from rollsim.cli import main

    found: dict[str, float] = {}
    runs = [
        (name, [name, f"scenarios/{stem}.toml"])
        for stem in EXAMPLES
        for name in ("roll", "size", "springs")
    ]
    runs = [(f"{name} {words[1]}", words) for name, words in runs]
    swings = ["--run", "80 mm", "30 mm", "11 mm"]
    lift = [
        "--wheelbase",
        "3085 mm",
        "--total",
        "1990 kg",
        "--level",
        "1130 kg",
        "--lift",
        "900 mm",
    ]
    load = ["--up", "0 kg", "1 mm", "--up", "100 kg", "14 mm", "--down", "0 kg", "3 mm"]
    lean = ["--right", "150 kg", "600 mm", "0.8 deg", "--left", "150 kg", "-600 mm", "-0.7 deg"]
    lean += ["--right", "150 kg", "0 mm", "0.1 deg"]
    bar = ["--section", "26 mm solid", "--centre-length", "800 mm", "--bush-spacing", "700 mm"]
    wheels = ["640 kg", "470 kg", "340 kg", "540 kg"]
    twist = ["--block", "125 mm", "--first", *wheels, "--first-levels", "2.4 deg", "-0.2 deg"]
    twist += ["2.1 deg", "--second", *(wheels[n] for n in (1, 0, 3, 2)), "--second-levels"]
    twist += ["-2.2 deg", "0.4 deg", "-1.9 deg"]
    runs += [
        ("bounce", ["weigh", "bounce", *swings]),
        ("axle lift", ["weigh", "axle-lift", *lift, "--raised", "1190 kg", "--radius", "370 mm"]),
        ("load test", ["weigh", "load-test", *load]),
        ("lean test", ["weigh", "lean-test", *lean]),
        ("bar", ["weigh", "bar", *bar, "--arm-hole", "250 mm"]),
        ("frame twist", ["weigh", "frame-twist", "scenarios/crew-cab-touring.toml", *twist]),
        (
            "road",
            [
                "road-test",
                "scenarios/arrives-loaded-and-lifted.toml",
                "scenarios/road-test-demo.csv",
            ],
        ),
    ]
    for name, words in runs:
        out = io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
            code = main([*words, "--json"])
        found[f"{name} answered"] = float(code == 0)
        if code == 0:
            _numbers(json.loads(out.getvalue()), name, found)
    return found


def _numbers(record: object, name: str, found: dict[str, float]) -> None:
    if isinstance(record, dict):
        for key, value in record.items():
            _numbers(value, f"{name}.{key}", found)
    elif isinstance(record, list):
        for number, value in enumerate(record):
            _numbers(value, f"{name}[{number}]", found)
    elif record is None:
        found[name] = math.nan
    elif isinstance(record, int | float):
        found[name] = float(record)
    else:
        found[f"{name} = {record}"] = 1.0


def furthest(plain: dict[str, float], now: dict[str, float]) -> tuple[float, str]:
    """The figure that moved most, as a share of itself, and which."""
    worst, where = 0.0, ""
    for name in plain.keys() | now.keys():
        a, b = plain.get(name, math.nan), now.get(name, math.nan)
        if a == b or (math.isnan(a) and math.isnan(b)):
            continue
        apart = (
            abs(a - b) / max(abs(a), abs(b)) if math.isfinite(a) and math.isfinite(b) else math.inf
        )
        if abs(a - b) > 1e-9 or math.isinf(apart):
            worst, where = max((worst, where), (apart, name))
    return worst, where


def _run(words: list[str], mutant: str, seconds: float) -> subprocess.CompletedProcess | None:
    env = {**os.environ, "ROLLSIM_MUTANT": mutant, "PYTHONPATH": str(ROOT)}
    try:
        return subprocess.run(
            words, cwd=ROOT, env=env, capture_output=True, text=True, timeout=seconds
        )
    except subprocess.TimeoutExpired:
        return None


def judge(file: str, number: int, plain: dict[str, float]) -> dict[str, object]:
    """What becomes of one change."""
    tree = ast.parse((ROOT / file).read_bytes())
    told = {"mutant": f"{file}:{number}", "change": change(copy.deepcopy(tree), number)}
    probe = _run([sys.executable, "-m", "tests.mutations", "--probe"], told["mutant"], 120.0)
    if probe is None or probe.returncode:
        moved, where = math.inf, "no answer at all"
    else:
        moved, where = furthest(plain, json.loads(probe.stdout))
    told |= {"moved": f"{moved:.2g}", "where": where}
    if moved < MOVED:
        return told | {"end": "moves no figure"}
    room = Path(file).parts[1].removesuffix(".py")
    tests = [f"tests/{name}.py" for name in ROOMS[room].split()]
    words = [sys.executable, "-m", "pytest", "-n", "0", "-x", "-p", "tests.mutated", *tests]
    done = _run(words, told["mutant"], LONGEST)
    if done is None:
        return told | {"end": "too slow"}
    failed = [line for line in done.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
    return told | {"end": "killed" if done.returncode else "LIVES", "by": "".join(failed[:1])[:120]}


def drawn(count: int, seed: int) -> list[tuple[str, int]]:
    """Files and places, each place as likely as any other of the rooms."""
    every = []
    for room in ROOMS:
        one = ROOT / "rollsim" / f"{room}.py"
        for path in [one] if one.is_file() else sorted((ROOT / "rollsim" / room).glob("*.py")):
            count_here = len(list(sites(ast.parse(path.read_bytes()))))
            every += [(str(path.relative_to(ROOT)), n) for n in range(count_here)]
    return random.Random(seed).sample(every, count)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    parser.add_argument("count", nargs="?", type=int, default=300)
    parser.add_argument("--seed", type=int, default=16)
    parser.add_argument("--into", type=Path)
    parser.add_argument("--minutes", type=float, default=math.inf)
    parser.add_argument("--probe", action="store_true", help=argparse.SUPPRESS)
    chosen = parser.parse_args()
    if chosen.probe:
        print(json.dumps(printed()))
        return
    into = chosen.into or parser.error("--into: say where to write")
    done = (
        {json.loads(line)["mutant"] for line in into.read_text().splitlines()}
        if into.exists()
        else set()
    )
    plain, until = printed(), time.monotonic() + 60.0 * chosen.minutes
    for file, number in drawn(chosen.count, chosen.seed):
        if f"{file}:{number}" in done or time.monotonic() > until:
            continue
        told = judge(file, number, plain)
        with into.open("a", encoding="utf-8") as out:
            print(json.dumps(told, ensure_ascii=False), file=out)


if __name__ == "__main__":
    main()
