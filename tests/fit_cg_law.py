"""Fits the law of CG height over roof height and track to measured vehicles, and tests it on them.

`python -m tests.fit_cg_law` prints what `rollsim/scenario/cg_law.py` holds and how each law does
on vehicles that it has not seen (each row left out in turn).

h = a H + b T is fitted to h/H, so that a residual counts as a share of the roof height: with
residuals in millimetres the high vehicles weigh more than the low ones, and rows left out are less
likely (the log-likelihoods stand side by side in what it prints).
"""

import csv
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy import stats

from rollsim.scenario.cg_law import LAWS, CgLaw
from rollsim.vehicle import VehicleClass

DATA = Path(__file__).parent / "published" / "measured_vehicles.csv"
OLDEST = 2001  # model year
BODIES = {
    VehicleClass.CREW_CAB_TRUCK: ("pickup",),
    VehicleClass.WAGON: ("suv",),
    VehicleClass.VAN: ("van",),
    VehicleClass.CAR: ("sedan", "coupe", "hatchback", "wagon"),
}


@dataclass(frozen=True, slots=True)
class Rows:
    """Measured vehicles of a group: roof height, mean track and CG height [m], SSF [-]."""

    roof: np.ndarray
    track: np.ndarray
    height: np.ndarray
    stability_factor: np.ndarray

    def without(self, n: int) -> "Rows":
        keep = np.arange(len(self.roof)) != n
        return Rows(*(getattr(self, name)[keep] for name in self.__slots__))


@dataclass(frozen=True, slots=True)
class LeftOut:
    """How a law does on rows that it was fitted without.

    Errors are shares of the measured CG height; `inside` counts rows within the tolerance.
    """

    errors: np.ndarray
    inside: int
    log_likelihood: float


def rows_of(kind: VehicleClass) -> Rows:
    with DATA.open(encoding="utf-8", newline="") as file:
        found = [
            [
                float(row["roof_height_mm"]) / 1e3,
                float(row["mean_track_mm"]) / 1e3,
                float(row["cg_height_mm"]) / 1e3,
                float(row["static_stability_factor"]),
            ]
            for row in csv.DictReader(file)
            if row["body"] in BODIES[kind]
            and int(row["model_year"]) >= OLDEST
            and row["roof_height_mm"]
        ]
    return Rows(*np.array(found).T)


def fit(rows: Rows, *, relative: bool = True) -> CgLaw:
    """The law of these rows; residuals as a share of the roof height, or in metres."""
    weight = 1.0 / rows.roof if relative else np.ones_like(rows.roof)
    x = np.column_stack([rows.roof, rows.track]) * weight[:, None]
    y = rows.height * weight
    (per_roof, per_track), residues, *_ = np.linalg.lstsq(x, y, rcond=None)
    freedom = len(y) - 2
    variance = float(residues[0]) / freedom
    covariance = variance * np.linalg.inv(x.T @ x)
    return CgLaw(
        rows=len(y),
        per_roof=float(per_roof),
        per_track=float(per_track),
        scatter=float(np.sqrt(variance)),
        covariance=(*(float(c) for c in covariance[0]), float(covariance[1, 1])),
        quantile=float(stats.t.ppf(0.95, freedom)),
        roofs=(float(rows.roof.min()), float(rows.roof.max())),
        stability_factors=tuple(
            float(q) for q in np.quantile(rows.stability_factor, (0.05, 0.5, 0.95))
        ),
    )


def left_out(rows: Rows, *, relative: bool = True) -> LeftOut:
    """Each row in turn held against the law of all others."""
    errors, inside, likelihood = [], 0, 0.0
    for n, height in enumerate(rows.height):
        law = fit(rows.without(n), relative=relative)
        roof, track = rows.roof[n], rows.track[n]
        found = law.height(roof, track)
        errors.append(found / height - 1.0)
        inside += abs(found - height) <= law.tolerance(roof, track)
        error = law.standard_error(roof, track) if relative else _in_metres(law, roof, track)
        likelihood += stats.t.logpdf((height - found) / error, law.rows - 2) - np.log(error)
    return LeftOut(np.array(errors), int(inside), float(likelihood))


def _in_metres(law: CgLaw, roof: float, track: float) -> float:
    """Standard error of a prediction where the scatter is one in metres."""
    a, ab, b = law.covariance
    return float(np.sqrt(law.scatter**2 + roof**2 * a + 2.0 * roof * track * ab + track**2 * b))


def main() -> None:
    for kind in VehicleClass:
        rows = rows_of(kind)
        law, seen = fit(rows), left_out(rows)
        print(f"{kind.value}: {law.rows} rows")
        for name in CgLaw.__dataclass_fields__:
            value = getattr(law, name)
            several = isinstance(value, tuple)
            numbers = ", ".join(f"{v:.6g}" for v in (value if several else (value,)))
            print(f"  {name} = {numbers}; held {getattr(LAWS[kind], name)}")
        plain = left_out(rows, relative=False).log_likelihood
        print(
            f"  left out in turn: mean error {100 * seen.errors.mean():+.2f} %, standard deviation "
            f"{100 * seen.errors.std():.2f} %, inside the tolerance {seen.inside} of {law.rows} "
            f"({100 * seen.inside / law.rows:.0f} %)"
        )
        print(f"  log-likelihood: relative {seen.log_likelihood:.1f}, absolute {plain:.1f}")


if __name__ == "__main__":
    main()
