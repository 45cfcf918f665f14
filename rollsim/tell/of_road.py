"""The figures of a road test, each declared once."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from rollsim.reader_units import METRIC
from rollsim.tell.figures import Record
from rollsim.tell.kinds import (
    ACCELERATION,
    LEAN,
    LEAN_PER_G,
    RATIO,
    ROUGH_LEAN_PER_G,
    Kind,
    labelled,
)

Ends = tuple[float, float]


@dataclass(frozen=True, slots=True)
class DriveFigure:
    """A figure of a drive, with the band that it has.

    `value` and `band` take it from a road answer with a measured gradient; `holds` is how often the
    band holds it; `key` and `band_key` are those of JSON, empty where it is in none; `text` says
    the whole cell. `rough` is the kind that it has where the interval of the drive is wide.
    """

    words: str
    kind: Kind
    key: str
    value: Callable[[object], float] | None = None
    band: Callable[[object], Ends] | None = None
    band_key: str = ""
    text: Callable[[object], str] | None = None
    holds: str = ""
    rough: Kind | None = None

    def row(self, found: object) -> tuple[str, str, str]:
        """Label, cell and band, as tables have them; deg and g are the same to every reader."""
        label = labelled(self.words, self.kind.unit)
        if self.text is not None:
            return label, self.text(found), ""
        kind = self.rough if self.rough and found.test.wide else self.kind
        ends, band = self.band(found) if self.band else (), ""
        if ends and all(map(math.isfinite, ends)):
            band = f"{' to '.join(kind.said(end, METRIC) for end in ends)}, {self.holds}"
        return label, kind.said(self.value(found), METRIC), band

    def record(self, found: object) -> Record:
        """What JSON says; null where there is no measured gradient."""
        measured = found.test is not None and found.test.line is not None
        told: Record = {}
        if self.key:
            told[self.key] = self.kind.number(self.value(found)) if measured else None
        if self.band_key:
            ends = [self.kind.number(end) for end in self.band(found)] if measured else [None]
            told[self.band_key] = None if None in ends else ends
        return told


def _range(found: object) -> str:
    return " to ".join(ACCELERATION.said(end, METRIC) for end in found.test.range)


def _bent(found: object) -> str:
    return LEAN.said(found.test.bent, METRIC) if found.test.bends_surely else "too small to tell"


def _slope(found: object) -> str:
    bends = "one bend" if found.test.places == 1 else f"{found.test.places} bends"
    return f"within {bends}" if found.test.same_place else "from bend to bend"


MEASURED = DriveFigure(
    "lean per g, measured",
    LEAN_PER_G,
    "roll_gradient_deg_per_g",
    lambda found: found.test.line.gradient.value,
    lambda found: found.test.interval,
    "interval_95",
    holds="95 %",
    rough=ROUGH_LEAN_PER_G,
)
PREDICTED = DriveFigure(
    "lean per g, predicted",
    LEAN_PER_G,
    "predicted_deg_per_g",
    lambda found: found.predicted.gradient,
    lambda found: (found.predicted.low, found.predicted.high),
    "predicted_band_90",
    holds="nine of ten",
)
DRIVE = (
    MEASURED,
    PREDICTED,
    DriveFigure(
        "friction, lash and bank, c",
        LEAN,
        "friction_deg",
        lambda found: found.test.line.friction.value,
        lambda found: found.test.line.friction.interval,
        "friction_interval_95",
        holds="95 %",
    ),
    DriveFigure("offset", LEAN, "offset_deg", lambda found: found.test.line.offset),
    DriveFigure(
        "scatter of a stretch about the line",
        LEAN,
        "scatter_deg",
        lambda found: found.test.line.scatter,
    ),
    DriveFigure(
        "bends away from the line",
        LEAN,
        "bend_of_the_line_deg",
        lambda found: found.test.bent,
        text=_bent,
    ),
    DriveFigure(
        "range of the bends",
        ACCELERATION,
        "",
        band=lambda found: found.test.range,
        band_key="range_g",
        text=_range,
    ),
    DriveFigure("slope taken", RATIO, "", text=_slope),
    DriveFigure(
        "bends, left and right",
        RATIO,
        "",
        text=lambda found: "{} and {}".format(*found.test.bends),
    ),
    DriveFigure(
        "steady seconds, left and right",
        RATIO,
        "",
        text=lambda found: "{:.0f} and {:.0f}".format(*found.test.seconds),
    ),
)
"""In the order of tables."""
