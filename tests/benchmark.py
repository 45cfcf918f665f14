"""How fast is it? Run `python -m tests.benchmark`: prints JSON. Timings never decide a test."""

import json
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from rollsim.bar import Section, Stock, straight_u
from rollsim.equilibrium import settle, solve_at_field, tangent, tip_over
from rollsim.mass import model as model_of
from rollsim.mass import sprung_load, states
from rollsim.roll import TURN, secant_roll_gradient
from rollsim.scenario import load, loads
from rollsim.sizing import size
from rollsim.springs import LinearSpring
from rollsim.vehicle import Job, Load
from tests.bad_input import TEXT
from tests.bad_input_springs import PACK, REAR
from tests.builders import ROOT, models

CREW_CAB = ROOT / "scenarios" / "crew-cab-touring.toml"
BATCH = 100_000
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


def main() -> None:
    """Measure and print."""
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
    figures = {
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
        "command_roll_from_cold_s": median(
            lambda: subprocess.run(command, check=True, capture_output=True), 5
        ),
    }
    print(json.dumps({name: round(value, 3) for name, value in figures.items()}, indent=2))


if __name__ == "__main__":
    main()
