"""A note stands where its reason does, and nowhere else."""

from dataclasses import replace

import numpy as np
import pytest

from rollsim.roll import SECANT_AT, results
from tests.builders import SCENARIOS, job
from tests.edge_vehicles import edge_job

G = 9.80665
SEEDS = (*range(2000, 2040), 115, 267, 360, 482, 531, 1333)  # some with an unresolved path
# How each note begins or ends, and the reason that its state has to have.
REASONS = {
    "tip-over and wheel lift: the path": lambda r: np.isnan(r.tip_over_threshold),
    "lean per g at 0.4 g: the vehicle tips before that": lambda r: r.tip_over_threshold < SECANT_AT,
    "tilt table: the path": lambda r: np.isnan(r.tilt_table_ratio),
    "inner front wheel: the vehicle tips": lambda r: (
        np.isnan(r.inner_front_lift) and np.isfinite(r.tip_over_threshold)
    ),
    "inner rear wheel: the vehicle tips": lambda r: (
        np.isnan(r.inner_rear_lift) and np.isfinite(r.tip_over_threshold)
    ),
    "it tips at": lambda r: r.tip_over_threshold < 0.3 * G,
    "tilt table below the tipping point": lambda r: r.tilt_table_ratio < r.tip_over_threshold / G,
}


def told(result) -> dict[str, bool]:
    return {head: any(note.startswith(head) for note in result.notes) for head in REASONS}


def due(result) -> dict[str, bool]:
    return {head: bool(reason(result)) for head, reason in REASONS.items()}


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_notes_of_the_demos(path):
    for result in results(job(path)):
        assert told(result) == due(result), result.name


def test_notes_at_the_edges_and_each_of_them_at_least_once():
    seen = set()
    for seed in SEEDS:
        result = results(edge_job(seed), ())[-1]
        if np.isfinite(result.roll_gradient):
            assert told(result) == due(result), seed
            seen |= {head for head, stands in told(result).items() if stands}
    assert seen == set(REASONS)


def test_springs_that_settle_far_are_told_from_those_that_do_not():
    plain = job(next(path for path in SCENARIOS if path.stem == "wagon-roof-load"))
    heavy = replace(plain.loads[0], mass=40.0, height=0.8)
    for mass, told_so in ((40.0, False), (1500.0, True)):
        loads = (replace(heavy, mass=mass, behind_front_axle=plain.vehicle.wheelbase * 0.8),)
        bare = replace(plain.vehicle.rear, bump_stop=None)
        of = replace(plain, loads=loads, vehicle=replace(plain.vehicle, rear=bare))
        result = results(of, (0.0,))[-1]
        down = max(abs(x) for x in result.curve[0].spring_travel)
        assert (down > 0.15) == told_so
        assert any("springs settle" in note for note in result.notes) == told_so
