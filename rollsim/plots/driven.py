"""Where do the steady stretches of a drive lie, and the measured and predicted line?"""

import math
from dataclasses import dataclass

from rollsim.plots.lean_curves import LeanCurve
from rollsim.road_answer import RoadAnswer, lines, slopes
from rollsim.road_test import RoadTest
from rollsim.units import to_unit

LATERAL_TITLE = "lateral acceleration, left bends positive, g"
LEAN_TITLE = "lean, right positive, deg"
RESIDUAL_TITLE = "off the line, deg"
HALF = 0.5  # a stretch that counts less is drawn hollow
CAPTION = (
    "Each point is a steady stretch; hollow ones lie far off the line and count less. The step "
    "at zero is friction, lash and bank, which turn with the bend. The band of each line is "
    "that of its lean per g."
)


@dataclass(frozen=True, slots=True)
class DrivenPoint:
    """One steady stretch of a road test.

    Left bends and lean to the right are positive; `residual_deg` is how far it lies off the line,
    and `weight` how much it counts, 1 for all of it.
    """

    lateral_acceleration_g: float
    lean_deg: float
    residual_deg: float
    weight: float

    @property
    def counts(self) -> bool:
        """It counts more than half."""
        return self.weight > HALF


def driven_points(test: RoadTest) -> tuple[DrivenPoint, ...]:
    """Every stretch of a test with a line [g, deg]."""
    stretches, line = test.stretches, test.line
    return tuple(
        DrivenPoint(
            float(to_unit(a, "g")),
            float(to_unit(roll, "deg")),
            float(to_unit(off, "deg")),
            float(weight),
        )
        for a, roll, off, weight in zip(
            stretches.lateral, stretches.roll, line.residuals, line.weights, strict=True
        )
    )


def driven_lines(found: RoadAnswer) -> tuple[LeanCurve, ...]:
    """Measured and predicted line, each in two parts, left and right bend, of one name [g, deg]."""
    return tuple(
        LeanCurve(
            name,
            tuple(float(to_unit(a, "g")) for a in lateral),
            tuple(float(to_unit(r, "deg")) for r in roll),
            None,
        )
        for name, lateral, roll in lines(found)
    )


@dataclass(frozen=True, slots=True)
class DrivenBand:
    """Where a line of a drive may lie: its lean at the ends of the drive, one side of the bends."""

    name: str
    lateral_acceleration_g: tuple[float, float]
    low_deg: tuple[float, float]
    high_deg: tuple[float, float]


def driven_bands(found: RoadAnswer) -> tuple[DrivenBand, ...]:
    """Band of each line that has one, in two parts, left and right bend, of one name [g, deg]."""
    line, ends = found.test.line, found.test.range
    made = []
    for name, (_, low, high) in slopes(found).items():
        if not (math.isfinite(low) and math.isfinite(high)):
            continue
        for side in (1.0, -1.0):
            edges = [
                tuple(
                    float(to_unit(line.offset + side * (line.friction.value + slope * a), "deg"))
                    for a in ends
                )
                for slope in (low, high)
            ]
            across = tuple(float(to_unit(side * a, "g")) for a in ends)
            made.append(DrivenBand(name, across, *edges))
    return tuple(made)
