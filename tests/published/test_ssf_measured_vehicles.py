"""Static stability factors of measured vehicles by the program's own path. [tse-2022, nhtsa-ssf]

945 vehicles in metric units and 35 in inches and pounds, as the US road-safety administration
measured and printed them; makes left out. Their masses, tracks and CG heights go in as a vehicle's
do, springs settle, and the factor comes out of the batch. What the table of 35 says of the CG's
place goes in too. The rest of a vehicle is not printed: class defaults, which the factor does not
hang on where it stands as it was weighed.
"""

import csv
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from rollsim import mass
from rollsim.equilibrium import Model, concatenate, settle
from rollsim.roll import TURN, cg_height, turn_and_table
from rollsim.scenario import loads
from rollsim.springs import LinearSpring
from rollsim.typical import BODIES
from rollsim.vehicle import Axle, Job, Suspension, Tyre, Vehicle, VehicleClass

HERE = Path(__file__).parent
POUND, INCH = 0.45359237, 0.0254
CLASSES = {"pickup": "crew-cab truck", "suv": "wagon", "sedan": "car"}
G = 9.80665
FEW = 10  # rows: a median of fewer says little


def read(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


IMPERIAL, METRIC = read("measured_ssf_imperial.csv"), read("measured_vehicles.csv")


def axle(track: float) -> Axle:
    spring, tyre = LinearSpring(35e3), Tyre(250e3)
    return Axle(Suspension.INDEPENDENT, track, track, 100.0, 0.33, 0.1, 1.0, spring, tyre)


def as_weighed(vehicle: Vehicle) -> Model:
    job = Job(vehicle)
    return mass.model(job, mass.named(job, mass.AS_WEIGHED))


def factors(models: list[Model]) -> np.ndarray:
    """Mean track over twice the settled CG height, all vehicles in one batch."""
    model, settled = settle(concatenate(models), TURN)
    assert settled.converged.all()
    return model.track.mean(axis=0) / (2.0 * cg_height(model, settled.x)[1])


def column(rows: list[dict[str, str]], name: str) -> np.ndarray:
    return np.array([float(row[name]) for row in rows])


def worst_metric() -> float:
    """How far the factor of the 945 is off at most."""
    names = ("mass_kg", "mean_track_mm", "cg_height_mm")
    models = []
    for m, track, height in zip(*(column(METRIC, name) for name in names), strict=True):
        ends = axle(track / 1e3), axle(track / 1e3)
        models.append(
            as_weighed(Vehicle("row", None, 2.7, 0.55 * m, 0.45 * m, height / 1e3, None, *ends))
        )
    return float(np.abs(factors(models) - column(METRIC, "static_stability_factor")).max())


def test_945_vehicles_in_metric_units():
    """Tracks to 1 mm and heights to 0.1 mm are printed: 0.0007 at most."""
    assert len(METRIC) == 945
    assert worst_metric() < 0.0007


def in_inches_and_pounds() -> tuple[list[Model], np.ndarray]:
    """The 35, and where the CG of each is: behind the front axle, left [m]; its mass [kg]."""
    models, places = [], []
    for row in IMPERIAL:
        m = POUND * float(row["test_weight_lb"])
        inches = ("wheelbase_in", "cg_behind_front_axle_in", "cg_left_in", "cg_height_in")
        wheelbase, behind, left, height = (INCH * float(row[name]) for name in inches)
        rear = m * behind / wheelbase
        ends = (axle(INCH * float(row[f"{end}_track_in"])) for end in ("front", "rear"))
        vehicle = Vehicle("row", None, wheelbase, m - rear, rear, height, left, *ends)
        models.append(as_weighed(vehicle))
        places.append((behind, left, m))
    return models, np.array(places).T


def worst_imperial() -> float:
    """How far the factor of the 35 is off at most."""
    found = factors(in_inches_and_pounds()[0])
    return float(np.abs(found - column(IMPERIAL, "static_stability_factor")).max())


def test_35_vehicles_in_inches_and_pounds_with_the_cg_in_place():
    """Tracks to 0.1 in and heights to 0.01 in are printed: 0.002 at most."""
    assert len(IMPERIAL) == 35
    assert worst_imperial() < 0.002
    models, places = in_inches_and_pounds()
    model = concatenate(models)
    both = model.total_mass
    behind = model.sprung_mass * model.cg_behind_front + 100.0 * model.wheelbase
    left = model.sprung_mass * model.cg_left
    assert np.array([behind / both, left / both, both]) == pytest.approx(places, rel=1e-9)


def by_class(row: dict[str, str]) -> Model:
    """A scenario of its weights, wheelbase and tracks, all else a class default."""
    m, wheelbase = float(row["test_weight_lb"]), float(row["wheelbase_in"])
    rear = m * float(row["cg_behind_front_axle_in"]) / wheelbase
    assumed = '"class default"'
    same = ("unsprung_mass", "unsprung_cg_height", "roll_centre_height", "spring", "tyre")
    same += ("roll_centre_travel_ratio", "bump_stop", "rebound_limit", "auxiliary_roll_stiffness")
    body = BODIES[VehicleClass(CLASSES[row["type"]])]
    solid = CLASSES[row["type"]] != "car"
    kinds = {"front": "independent", "rear": "solid axle" if solid else "independent"}
    lines = [
        f'title = "row"\n[vehicle]\nname = "row"\nclass = "{CLASSES[row["type"]]}"',
        f'wheelbase = "{wheelbase} in"\ncg_height = {assumed}',
        f'front_axle_mass = "{m - rear:.3f} lb"\nrear_axle_mass = "{rear:.3f} lb"',
    ]
    for end, kind in kinds.items():
        lines += [f'[{end}]\nsuspension = "{kind}"\ntrack = "{row[f"{end}_track_in"]} in"']
        lines += [f"{key} = {assumed}" for key in same]
        lines += [f"spring_base = {assumed}"] * (kind == "solid axle")
        bar = end == "front" or body.rear_bar
        lines += [f"bar = {{ roll_stiffness = {assumed} }}"] * bar
    job = loads("\n".join(lines), "row.toml").job
    return mass.model(job, mass.named(job, mass.UNLADEN))


@cache
def fleet() -> tuple[list[dict[str, str]], Model]:
    """The rows whose body has a class: minivans stand among the vans there, and are left out."""
    rows = [row for row in IMPERIAL if row["type"] in CLASSES]
    return rows, concatenate([by_class(row) for row in rows])


def test_a_fleet_from_class_defaults_has_the_medians_of_the_measured_one():
    rows, model = fleet()
    found, printed = factors([model]), column(rows, "static_stability_factor")
    held = []
    for body in CLASSES:
        at = np.array([row["type"] == body for row in rows])
        apart = np.median(found[at]) - np.median(printed[at])
        print(f"{body}: {at.sum()} rows, median {np.median(found[at]):.3f}, {apart:+.3f}")
        if at.sum() >= FEW:
            held.append(body)
            assert abs(apart) < 0.05, body
    assert held == ["suv", "sedan"]


def test_a_tilt_table_says_less_than_the_factor():
    """Between 0.82 and 0.97 of it for stock vehicles (from memory).

    Without side give the fleet holds that range, with 80 N/mm it reaches from below it to 0.84. By
    hand: where all side force is on the outer wheels, what their patches shift is lost of the half
    track; half of that while the inner ones still stand, as they do where it tips on three.
    """
    _, model = fleet()
    stiff = replace(model, tyre_lateral_rate=np.full_like(model.tyre_lateral_rate, np.inf))
    table, given = (
        np.tan(turn_and_table(*settle(one, TURN))[1].tip_over) for one in (stiff, model)
    )
    share = table / factors([model])
    assert 0.82 < share.min() < share.max() < 0.97
    shift = model.total_mass * G * np.sin(np.arctan(given)) / (2.0 * model.tyre_lateral_rate[0])
    lost = shift / (0.5 * model.track.mean(axis=0))
    assert (0.5 * lost < 1.0 - given / table).all()
    assert (1.0 - given / table < lost).all()
