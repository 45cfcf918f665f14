"""CG height over roof height and track, held against measured vehicles. [tse-2022]

K. Tse, Trends in vehicle centre of gravity height and static stability factor from 1971 to 2020,
2022: vehicles of the US road-safety administration's inertial database and rollover ratings, three
quarters of its rows, makes left out.
"""

import dataclasses
from functools import cache

import numpy as np
import pytest

from rollsim.scenario.cg_law import FEW_ROWS, LAWS, LEAST_SHARE
from rollsim.vehicle import VehicleClass
from tests import fit_cg_law


@cache
def left_out(kind: VehicleClass, *, relative: bool = True) -> fit_cg_law.LeftOut:
    return fit_cg_law.left_out(fit_cg_law.rows_of(kind), relative=relative)


kinds = pytest.mark.parametrize("kind", VehicleClass, ids=lambda kind: kind.value)


@kinds
def test_the_module_holds_what_the_fit_gives(kind):
    """Six digits are held."""
    fitted = dataclasses.asdict(fit_cg_law.fit(fit_cg_law.rows_of(kind)))
    held = dataclasses.asdict(LAWS[kind])
    for name, value in fitted.items():
        assert held[name] == pytest.approx(value, rel=1e-5), name


@kinds
def test_rows_left_out_lie_where_the_law_says(kind):
    """Nine of ten should lie inside; of few rows the count says little and is only printed."""
    seen = left_out(kind)
    rows = len(seen.errors)
    print(f"{kind.value}: {seen.inside} of {rows} inside, mean error {seen.errors.mean():+.2%}")
    assert abs(seen.errors.mean()) < 0.01
    if rows >= FEW_ROWS:
        assert 0.85 <= seen.inside / rows <= 0.95


def test_residuals_as_a_share_of_the_roof_are_the_likelier():
    total = {
        relative: sum(left_out(kind, relative=relative).log_likelihood for kind in VehicleClass)
        for relative in (True, False)
    }
    assert total[True] - total[False] == pytest.approx(5.9, abs=0.05)


@pytest.mark.parametrize(
    ("kind", "ssf"),
    [  # printed for all rows, of which the file holds three quarters: 5 / 50 / 95 %
        (VehicleClass.CREW_CAB_TRUCK, (1.08, 1.17, 1.24)),
        (VehicleClass.WAGON, (1.10, 1.21, 1.29)),
        (VehicleClass.VAN, (0.89, 1.08, 1.14)),
    ],
    ids=lambda value: getattr(value, "value", ""),
)
def test_stability_factors_are_near_those_of_all_rows(kind, ssf):
    """A quarter of the rows is not in the file, which moves an end by up to 0.01."""
    assert LAWS[kind].stability_factors == pytest.approx(ssf, abs=0.0101)


def test_high_vans_stand_where_the_law_puts_them():
    """Measured vans with a roof over 2.4 m: 0.85 to 0.99 m."""
    rows, law = fit_cg_law.rows_of(VehicleClass.VAN), LAWS[VehicleClass.VAN]
    high = rows.roof > 2.4
    assert (round(rows.height[high].min(), 2), round(rows.height[high].max(), 2)) == (0.85, 0.99)
    found = law.per_roof * rows.roof[high] + law.per_track * rows.track[high]
    assert np.abs(found / rows.height[high] - 1.0).max() < 0.07


def test_the_tolerance_is_a_prediction_interval_of_least_squares():
    """For one row more, by the textbook: t s √(1 + x' (X'X)⁻¹ x) with both divided by H."""
    rows = fit_cg_law.rows_of(VehicleClass.WAGON)
    x = np.column_stack([np.ones_like(rows.roof), rows.track / rows.roof])
    y = rows.height / rows.roof
    solution = np.linalg.solve(x.T @ x, x.T @ y)
    s = np.sqrt(np.sum((y - x @ solution) ** 2) / (len(y) - 2))
    new = np.array([1.0, 1.6 / 1.85])
    half = 1.85 * 1.64977 * s * np.sqrt(1.0 + new @ np.linalg.inv(x.T @ x) @ new)
    law = LAWS[VehicleClass.WAGON]
    assert law.tolerance(1.85, 1.6) == pytest.approx(half, rel=1e-4)
    assert law.height(1.85, 1.6) == pytest.approx(1.85 * float(new @ solution), rel=1e-5)


def test_few_rows_leave_at_least_six_per_cent():
    van = LAWS[VehicleClass.VAN]
    middle = van.tolerance(2.1, 1.73)
    assert middle == pytest.approx(LEAST_SHARE * van.height(2.1, 1.73), rel=1e-12)
    assert middle > van.quantile * van.standard_error(2.1, 1.73)
    assert van.tolerance(3.2, 1.73) > LEAST_SHARE * van.height(3.2, 1.73)
