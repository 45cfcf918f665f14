"""How fast is it? Timings never decide a test.

`python -m tests.benchmark` prints JSON; with `--doc` it prints docs/performance.md, with `--shop`
what 5,000 job sheets and a range of 1,000 vehicles and load cases cost, a minute or two.
"""

import json
import math
import platform
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from rollsim.bar import Section, Stock, straight_u
from rollsim.bar_range import answer, read_changes, runs_of
from rollsim.equilibrium import settle, solve_at_field, tangent, tip_over
from rollsim.mass import model as model_of
from rollsim.mass import sprung_load, states
from rollsim.record import embed_job
from rollsim.roll import TURN, secant_roll_gradient
from rollsim.scenario import load, loads, opened
from rollsim.scenario.shelf import in_lines
from rollsim.sheet import job_sheet, work_out
from rollsim.sheet.kept import kept
from rollsim.sizing import size
from rollsim.springs import LinearSpring
from rollsim.vehicle import Job, Load
from tests.bad_input import TEXT
from tests.bad_input_springs import PACK, REAR
from tests.builders import ROOT, models

CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
BATCH = 100_000
RANGE = "range_a_vehicle_in_a_case_ms"
AT = 0.4 * 9.80665


def median(run: Callable[[], object], repeats: int) -> float:
    """Median wall time of one run [s]."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def leaf_packs_over_linear() -> float:
    """Most of what a state with leaf packs, helpers and stops costs over one of plain springs [-].

    From empty to standing on the bump stop, as built and lifted into the rebound limit.
    """
    packed = loads(TEXT.replace(REAR, PACK), "a.toml").job
    shares = []
    for lift in (0.0, 0.085):
        for ballast in (0.0, 300.0, 500.0, 700.0, 900.0, 1100.0):
            item = Load("ballast", ballast, packed.vehicle.wheelbase, 0.9)
            change = replace(packed.change, suspension_lift_front=lift, suspension_lift_rear=0.0)
            job = replace(packed, loads=(item,), change=change)
            pair = [job, _linear(job)]
            shares.append(_cost(pair[0]) / _cost(pair[1]))
    return max(shares)


def _linear(job: Job) -> Job:
    """The same with a plain spring of the main leaves, and without stops."""
    bare = {"bump_stop": None, "rebound_limit": None}
    rear = job.vehicle.rear
    rate = float(rear.spring.curve(sprung_load(job)[1]).rate)
    return replace(
        job,
        vehicle=replace(
            job.vehicle,
            front=replace(job.vehicle.front, **bare),
            rear=replace(rear, spring=LinearSpring(rate), **bare),
        ),
    )


def _cost(job: Job) -> float:
    """Wall time of the last state, settled and at 0.4 g [s]."""
    plain = model_of(job, states(job)[-1])

    def run() -> None:
        secant_roll_gradient(*settle(plain, TURN), AT)

    return median(run, 9)


def variants(count: int) -> tuple[float, float]:
    """Seconds and MiB, all told, of a process that settles so many variants and leans them."""
    code = f"""
import time
from pathlib import Path
import numpy as np
from dataclasses import replace
from rollsim.equilibrium import settle, solve_at_field, tangent
from rollsim.roll import TURN
from tests.benchmark import AT, CREW_CAB
from tests.builders import models
plain = models(CREW_CAB)[-1]
many = plain.take(np.zeros({count}, dtype=int))
rng = np.random.default_rng(0)
many = replace(many, cg_height=many.cg_height * rng.uniform(0.95, 1.05, {count}))
begin = time.perf_counter()
model, settled = settle(many, TURN)
slope = tangent(model, settled.x, TURN)
start = settled.x + AT * np.concatenate([np.ones((1, {count})), slope])
assert solve_at_field(model, start, TURN).converged.all()
spent = time.perf_counter() - begin
status = Path("/proc/self/status").read_text()  # VmHWM: of this process alone
print(spent, int(status.split("VmHWM:")[1].split()[0]) / 1024)
"""
    return _alone(code)


def _alone(code: str) -> tuple[float, float]:
    """Seconds and MiB that a process of its own prints."""
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True, text=True
    )
    seconds, memory = map(float, done.stdout.split())
    return seconds, memory


def three_solves_of_lapack() -> float:
    """Seconds a state of three batched 7 x 7 solves, which a Newton step cannot do without."""
    rng = np.random.default_rng(0)
    matrices = rng.normal(size=(BATCH, 7, 7)) + 7.0 * np.eye(7)
    right = rng.normal(size=(BATCH, 7, 1))
    return 3.0 * median(lambda: np.linalg.solve(matrices, right), 3) / BATCH


def range_of_bars() -> float:
    """Milliseconds of one core that a vehicle in one load case costs in a range."""
    shelf = (ROOT / "scenarios" / "shelf-demo.csv").read_text(encoding="utf-8")
    rows = [f"v{n},{n} mm,{640 + n} mm ± 25 mm\n" for n in range(24)]
    text = "name,change.suspension_lift_rear,vehicle.cg_height\n" + "".join(rows)
    first, *runs = runs_of([opened(CREW_CAB)], read_changes(text, "changes"), in_lines(shelf))
    answer(first)  # imports what only this needs
    start = time.process_time()
    cases = sum(len(answer(run)) for run in runs)
    return 1e3 * (time.process_time() - start) / cases


def shop() -> dict[str, float]:
    """What the issue of shelf, record and range asks for: wall time, and memory of the process."""
    with TemporaryDirectory() as where:
        folder = Path(where)
        found = _sheets_read(folder, 5_000)
        found["range_of_1000_in_2_processes_s"] = _range_done(folder, 1_000)
    return found


def _sheets_read(folder: Path, count: int) -> dict[str, float]:
    """A real sheet, so many times with a vehicle and a reading of its own."""
    file = opened(CREW_CAB)
    work = work_out(file.read())
    html = job_sheet(work, file.source(), day=date(2026, 1, 1), version="1")
    own = kept(work, day=date(2026, 1, 1), version="1")
    assert embed_job(own) in html
    where = folder / "sheets"
    where.mkdir()
    for number in range(count):
        measured = own.predicted * 1.05 if number % 2 else math.nan
        job = replace(own, registration=f"AB {number // 2}", measured=measured)
        text = html.replace(embed_job(own), embed_job(job))
        (where / f"{number:05}.html").write_text(text, "utf-8")
    code = f"""
import time
from pathlib import Path
begin = time.perf_counter()
from rollsim.record import accuracy_of, normal_leans, read_folder
jobs = read_folder(Path({str(where)!r})).jobs
assert len(jobs) == {count} and accuracy_of(jobs).count == {count // 2} and normal_leans(jobs)
spent = time.perf_counter() - begin
status = Path("/proc/self/status").read_text()
print(spent, int(status.split("VmHWM:")[1].split()[0]) / 1024)
"""
    seconds, memory = _alone(code)
    return {f"record_of_{count}_sheets_s": seconds, f"record_of_{count}_sheets_MiB": memory}


def _range_done(folder: Path, cases: int) -> float:
    """Seconds of the whole command, two load cases a vehicle."""
    rows = [f"v{n},{n % 50} mm,{600 + n // 5} mm ± 25 mm" for n in range(cases // 2)]
    changes = folder / "changes.csv"
    head = "name,change.suspension_lift_rear,vehicle.cg_height"
    changes.write_text("\n".join([head, *rows, ""]), "utf-8")
    bars, out = ROOT / "scenarios" / "shelf-demo.csv", folder / "range.csv"
    command = [sys.executable, "-m", "rollsim", "range", str(CREW_CAB), "--changes", str(changes)]
    start = time.perf_counter()
    subprocess.run(
        [*command, "--bars", str(bars), "-o", str(out), "--processes", "2"],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    spent = time.perf_counter() - start
    assert len(out.read_text("utf-8").splitlines()) == 1 + cases
    return spent


def page_answer() -> float:
    """Seconds from a moved slider to the whole page *Fit a bar*, without a browser."""
    from streamlit.testing.v1 import AppTest

    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60)
    app.query_params["example"] = CREW_CAB.stem
    app.run()
    places = iter((0.2, 0.3, 0.5, 0.2, 0.3, 0.5, 0.2, 0.3))
    return median(lambda: app.slider(key="lateral").set_value(next(places)).run(), 7)


def measured() -> dict[str, float]:
    """All figures, by name with their unit."""
    plain = models(CREW_CAB)[-1]
    model, settled = settle(plain, TURN)
    slope = tangent(model, settled.x, TURN)
    start = settled.x + AT * np.concatenate([np.ones((1, 1)), slope])

    def alone() -> None:
        rest = settle(plain, TURN)
        solve_at_field(rest[0], start, TURN)

    rng = np.random.default_rng(0)
    many = plain.take(np.zeros(BATCH, dtype=int))
    many = replace(many, cg_height=many.cg_height * rng.uniform(0.95, 1.05, BATCH))
    many_start = np.repeat(start, BATCH, axis=1)

    scenario = load(CREW_CAB)
    steel = scenario.rear_bar.stocks[0].steel
    sections = tuple(Section(d, None) for d in np.linspace(0.016, 0.025, 500))
    holes = (0.23, 0.26, 0.29, 0.32)
    shapes = tuple(straight_u(centre_length=0.94, lever=x, splay=0.2) for x in holes)
    rear_bar = replace(scenario.rear_bar, stocks=(Stock(steel, sections),), shapes=shapes)
    size(scenario.job, rear_bar)  # the first run imports what only sizing needs

    command = [sys.executable, "-m", "rollsim", "roll", str(CREW_CAB)]
    return {
        "one_state_at_0.4_g_us": 1e6 * median(lambda: solve_at_field(model, start, TURN), 100),
        "one_state_settled_and_at_0.4_g_us": 1e6 * median(alone, 50),
        "batch_at_0.4_g_us_per_state": 1e6
        * median(lambda: solve_at_field(many, many_start, TURN), 3)
        / BATCH,
        "batch_settled_us_per_state": 1e6 * median(lambda: settle(many, TURN), 3) / BATCH,
        "leaf_packs_and_stops_over_linear": leaf_packs_over_linear(),
        "scenario_read_ms": 1e3 * median(lambda: load(CREW_CAB), 20),
        "path_to_tip_over_ms": 1e3 * median(lambda: tip_over(model, settled, TURN), 20),
        "sizing_500_sections_4_holes_ms": 1e3 * median(lambda: size(scenario.job, rear_bar), 7),
        RANGE: range_of_bars(),
        "command_roll_from_cold_s": median(
            lambda: subprocess.run(command, check=True, capture_output=True), 5
        ),
    }


DOC = """# What an answer costs

Made by `python -m tests.benchmark --doc`; {when}, {machine}.

| what | cost |
|---|---|
{costs}

| variants at once, settled and at 0.4 g | s | µs a variant | MiB of the process |
|---|---|---|---|
{batches}

One state of a batch at 0.4 g takes {ratio:.2f} times what three batched 7 × 7 solves of LAPACK take
on the same machine ({lapack:.1f} µs): three Newton steps, each with its exact derivative and a
solve. What limits a batch is that arithmetic and the memory the arrays pass through; they are
worked in chunks that take the same memory again, so the cost a variant does not grow with their
number.

What limits a single answer is starting: of `rollsim roll` most is Python and its libraries being
loaded. What limits the page is Streamlit laying it out again; a moved slider solves a few states.
What limits a sizing is stress along each bar and the balance gate of each, not the roll.

**One machine serves a workshop.** A fitter asks for a sizing a few times an hour and moves sliders
a few times a second; twenty people doing so at once is what `python -m tests.many_sessions` plays.
A million variants fit into the memory of a laptop, so no queue, no cluster and no database is
needed, and nothing leaves the computer.

**A range of a hundred thousand.** A vehicle in one load case, held against a shelf by `rollsim
range`, costs {each:.0f} ms of one core, about a quarter of it for the band: a thousand take
{thousand:.0f} s on two cores, a hundred thousand {all_of_them:.1f} hours, with about 100 MiB a
process; beside other work on the same cores it was nearly twice as much. No vehicle needs another
one, so each core more takes its share off, and what is done is kept: a range can be stopped and go
on overnight. Processes on one machine are enough: what would have to be set up on several would
save a fitter less time than it takes.
"""


def _said(name: str) -> str:
    """A name of a figure in words, its unit last."""
    words = name.replace("us_per_state", "µs").split("_")
    unit = {"us": "µs", "µs": "µs", "ms": "ms", "s": "s"}.get(words[-1])
    return f"{' '.join(words[:-1])}, {unit}" if unit else " ".join(words)


def doc(found: dict[str, float]) -> str:
    """The page docs/performance.md."""
    lapack = 1e6 * three_solves_of_lapack()
    found = {**found, "page_slider_to_whole_answer_ms": 1e3 * page_answer()}
    rows = [f"| {_said(name)} | {value:.4g} |" for name, value in found.items()]
    batches = []
    for count in (1, 10, 100, 1_000, 10_000, 100_000, 1_000_000):
        seconds, memory = variants(count)
        each = 1e6 * seconds / count
        batches.append(f"| {count:,} | {seconds:.3g} | {each:.3g} | {memory:.0f} |")
    machine = f"{platform.machine()}, Python {platform.python_version()}, numpy {np.__version__}"
    return DOC.format(
        when=time.strftime("%B %Y"),
        machine=machine,
        costs="\n".join(rows),
        batches="\n".join(batches),
        ratio=found["batch_at_0.4_g_us_per_state"] / lapack,
        lapack=lapack,
        each=found[RANGE],
        thousand=found[RANGE] / 2.0,
        all_of_them=found[RANGE] * 50.0 / 3600.0,
    )


def main() -> None:
    """Measure and print."""
    found = shop() if "--shop" in sys.argv[1:] else measured()
    if "--doc" in sys.argv[1:]:
        print(doc(found), end="")
        return
    print(json.dumps({name: round(value, 3) for name, value in found.items()}, indent=2))


if __name__ == "__main__":
    main()
