"""Three layers, one way: what a lower layer imports, read from the source and seen when it runs."""

import ast
import subprocess
import sys
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "rollsim"

# A part uses those before it. Parts still to come keep their place.
ORDER = (
    "files",
    "shipped",
    "units",
    "estimates",
    "roll_centre",
    "wheel_travel",
    "springs",
    "bar",
    "vehicle",
    "equilibrium",
    "mass",
    "roll",
    "balance",
    "cautions",
    "typical",
    "weighing",
    "spring_check",
    "lift_check",
    "sizing",
    "spring_options",
    "tolerance",
    "measured",
    "road_test",
    "sentences",
    "correction_wording",
    "reader_units",
    "wording",
    "spring_wording",
    "lift_wording",
    "wheel_wording",
    "tell",
    "cost_wording",
    "option_wording",
    "inverse_wording",
    "pair_wording",
    "teaching",
    "scenario",
    "bar_range",
    "remedies",
    "remedy_wording",
    "road_answer",
    "road_wording",
    "drawing",
    "plots",
    "charts",
    "record",
    "sheet",
    "cli",
    "__main__",
    "page",
)
PAGE_ONLY = ("streamlit", "pandas", "altair")
STARTS_THE_PAGE = "rollsim.cli.page_server"
SLOW = (*PAGE_ONLY, "matplotlib", "scipy.optimize")


def modules() -> dict[str, Path]:
    found = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        found[name] = path
    return found


MODULES = modules()


def imported(path: Path) -> set[str]:
    """Modules named by every import statement of a file, those inside functions too."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: line {node.lineno}: write imports in full"
            inside = {f"{node.module}.{alias.name}" for alias in node.names}
            found |= (inside & MODULES.keys()) or {node.module}
    return found


def part(module: str) -> str:
    return module.split(".")[1]


def test_every_part_has_its_place():
    parts = {part(name) for name in MODULES if name != "rollsim"}
    assert parts <= set(ORDER), f"not in the order: {parts - set(ORDER)}"


@pytest.mark.parametrize("module", [name for name in MODULES if name != "rollsim"])
def test_imports_run_one_way(module):
    used = {part(name) for name in imported(MODULES[module]) if name.startswith("rollsim.")}
    place = ORDER.index(part(module))
    later = {name for name in used if ORDER.index(name) > place}
    assert not later, f"{module} uses what stands after it: {later}"


def test_no_module_needs_itself():
    packages = {name for name, path in MODULES.items() if path.name == "__init__.py"}
    uses = {
        name: {other for other in imported(path) if other in MODULES and other not in packages}
        for name, path in MODULES.items()
    }
    order = list(TopologicalSorter(uses).static_order())  # raises where imports go in a circle
    assert set(order) == set(MODULES)


@pytest.mark.parametrize("module", [m for m in MODULES if m not in ("rollsim", "rollsim.__main__")])
def test_only_the_page_side_names_page_libraries(module):
    if part(module) in ("page", "charts", "sheet") or module == STARTS_THE_PAGE:
        return
    named = {name.split(".")[0] for name in imported(MODULES[module])}
    assert not named & set(PAGE_ONLY), f"{module}: {named & set(PAGE_ONLY)}"


def loaded_by(code: str, names: tuple[str, ...] = SLOW) -> set[str]:
    """Which of those libraries a fresh interpreter has loaded after running `code`."""
    tell = f"import sys\nprint(*[name for name in {names!r} if name in sys.modules])"
    run = subprocess.run(
        [sys.executable, "-c", f"{code}\n{tell}"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=True,
    )
    return set(run.stdout.splitlines()[-1].split())


def test_lower_layers_load_nothing_of_the_page():
    names = ("equilibrium", "roll", "bar", "sizing", "scenario")
    assert loaded_by("\n".join(f"import rollsim.{name}" for name in names)) == set()


def test_the_roll_command_loads_nothing_slow():
    command = "['roll', 'scenarios/crew-cab-touring.toml']"
    run = f"from rollsim.cli import main\nassert main({command}) == 0"
    of_no_use = ("rollsim.measured", "rollsim.weighing", "rollsim.spring_check", "scipy.special")
    assert loaded_by(run, (*SLOW, *of_no_use)) == set()


def test_the_probe_sees_what_is_loaded():
    assert loaded_by("import scipy.optimize") == {"scipy.optimize"}
