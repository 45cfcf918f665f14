"""Class defaults: what a body type has where nothing was measured, each with its spread.

They describe the vehicle empty and stock; `stock` moves them to where it stood on the scales. ± is
about a 90 % band. The figures are from memory or common practice; the CG height, in `cg_law`, comes
from measured vehicles.
"""

import math
from dataclasses import dataclass

from rollsim.roll.side_give import USUAL_SIDE_RATES
from rollsim.scenario.ledger import Ledger
from rollsim.typical import BAR_SPREAD, BODIES
from rollsim.units import Dimension
from rollsim.vehicle import STANDARD_GRAVITY, Suspension, VehicleClass

Band = tuple[float, float]
"""Value and half the width of its band."""


@dataclass(frozen=True, slots=True)
class AxleDefaults:
    """Class defaults of one axle, in the units of `UNITS_OF`; ride frequency in [Hz]."""

    unsprung_mass: Band
    roll_centre_height: Band
    roll_centre_travel_ratio: Band
    tyre_vertical_rate: Band
    auxiliary_roll_stiffness: Band
    bump_gap: Band
    rebound_gap: Band
    unsprung_cg_height: Band
    ride_frequency: Band
    bump_rate: Band
    suspension: Suspension
    spring_base: Band = (1080.0, 90.0)
    rebound_rate: Band = (400.0, 200.0)


@dataclass(frozen=True, slots=True)
class ClassDefaults:
    """Class defaults of the axles of one body type."""

    front: AxleDefaults
    rear: AxleDefaults


_FRONT = {
    "suspension": Suspension.INDEPENDENT,
    "ride_frequency": (1.25, 0.2),
    "bump_rate": (150.0, 75.0),
}
_REAR = {
    "suspension": Suspension.SOLID_AXLE,
    "ride_frequency": (1.5, 0.3),
    "bump_rate": (200.0, 100.0),
}


def _axle(row: tuple[Band, ...], common: dict, spring_base: Band = (1080.0, 90.0)) -> AxleDefaults:
    return AxleDefaults(*row, **common, spring_base=spring_base)


# Columns: unsprung mass [kg], roll centre [mm], travel ratio [-], tyre [N/mm], auxiliary
# [N·m/deg], bump and rebound gap at the wheel [mm], unsprung CG height [mm].
CLASS_DEFAULTS = {
    VehicleClass.CREW_CAB_TRUCK: ClassDefaults(
        front=_axle(
            ((105, 20), (80, 50), (1, 0.4), (245, 45), (20, 20), (60, 20), (80, 25), (370, 20)),
            _FRONT,
        ),
        rear=_axle(
            ((190, 35), (460, 70), (0.5, 0.3), (245, 45), (60, 40), (85, 25), (95, 30), (370, 20)),
            _REAR,
            (1080, 70),
        ),
    ),
    VehicleClass.WAGON: ClassDefaults(
        front=_axle(
            ((105, 20), (80, 50), (1, 0.4), (245, 45), (20, 20), (70, 20), (90, 25), (345, 20)),
            _FRONT,
        ),
        rear=_axle(
            (
                (165, 30),
                (420, 70),
                (0.5, 0.15),
                (245, 45),
                (120, 80),
                (85, 25),
                (110, 30),
                (345, 20),
            ),
            _REAR,
            (950, 80),
        ),
    ),
    VehicleClass.VAN: ClassDefaults(
        front=_axle(
            ((110, 20), (60, 60), (1.3, 0.6), (275, 55), (20, 20), (55, 20), (80, 25), (370, 20)),
            _FRONT,
        ),
        rear=_axle(
            ((150, 35), (380, 70), (0.5, 0.3), (275, 55), (60, 40), (70, 25), (90, 30), (370, 20)),
            _REAR,
            (1050, 90),
        ),
    ),
    VehicleClass.CAR: ClassDefaults(
        front=_axle(
            ((75, 15), (60, 40), (1.2, 0.4), (210, 35), (10, 10), (60, 20), (75, 25), (300, 20)),
            _FRONT,
        ),
        rear=_axle(
            ((75, 20), (100, 60), (1.0, 0.4), (210, 35), (15, 15), (65, 20), (80, 25), (300, 20)),
            _REAR | {"suspension": Suspension.INDEPENDENT},
            (1000, 80),
        ),
    ),
}

SIDE_RATE: Band = (USUAL_SIDE_RATES[0] / 1e3, 18.0)
"""Of one wheel, tyre and suspension together [N/mm]."""
LADDER_FRAMES = (VehicleClass.CREW_CAB_TRUCK,)
LADDER_FRAME: Band = (3000.0, 1500.0)
"""Torsional stiffness from axle to axle with cab and tray on it [N·m/deg]."""

FROM_MEMORY = (
    "class defaults are from memory and common practice, no source; a CG height by its law and the "
    "side give of a wheel are from measured vehicles"
)
_MM, _RATE = ("mm", Dimension.LENGTH), ("N/mm", Dimension.RATE)
UNITS_OF = {
    "unsprung_mass": ("kg", Dimension.MASS),
    "roll_centre_height": _MM,
    "roll_centre_travel_ratio": ("", Dimension.RATIO),
    "tyre_vertical_rate": _RATE,
    "auxiliary_roll_stiffness": ("N*m/deg", Dimension.ROLL_STIFFNESS),
    "spring_base": _MM,
    "bump_gap": _MM,
    "rebound_gap": _MM,
    "unsprung_cg_height": _MM,
    "bump_rate": _RATE,
    "rebound_rate": _RATE,
}
"""Unit and dimension of each field of AxleDefaults."""

_DEPENDS_ON_SUSPENSION = frozenset(
    {"unsprung_mass", "roll_centre_height", "roll_centre_travel_ratio", "auxiliary_roll_stiffness"}
)


def _tell_source(ledger: Ledger) -> None:
    """One note for all class defaults."""
    if FROM_MEMORY not in ledger.notes:
        ledger.notes.append(FROM_MEMORY)


def axle_default(
    ledger: Ledger, axle: str, field: str, *, key: str, suspension: Suspension | None
) -> float:
    """Take the class default of one value of an axle, a field of AxleDefaults.

    In SI; NaN, with an error, where no class is set. A default meant for the other kind of
    suspension leaves a note.
    """
    kind = ledger.class_or_problem(key, "measure the value")
    if kind is None:
        return math.nan
    defaults: AxleDefaults = getattr(CLASS_DEFAULTS[kind], axle)
    usual = defaults.suspension
    if field in _DEPENDS_ON_SUSPENSION and suspension is not None and suspension is not usual:
        ledger.notes.append(
            f"{key}: the class default of a {kind.value} is one of {usual.value} suspension, "
            f"this axle has {suspension.value}; measure it"
        )
    unit, dimension = UNITS_OF[field]
    _tell_source(ledger)
    why = f"class default: {kind.value}"
    return ledger.assume(key, getattr(defaults, field), unit, dimension=dimension, why=why)


def bar_default(ledger: Ledger, axle: str, *, key: str) -> float:
    """Take the usual stiffness of an anti-roll bar, where it is known that there is one.

    In [N·m/rad]; NaN where no class is set. `key` is that of the bar's table.

    Notes
    -----
    Common practice, from memory; bars of one class differ by half of it either way.
    """
    key = f"{key}.roll_stiffness"
    kind = ledger.class_or_problem(key, "give the bar's stiffness")
    if kind is None:
        return math.nan
    _tell_source(ledger)
    usual = math.radians(getattr(BODIES[kind], f"{axle}_bar_stiffness"))
    return ledger.assume(
        key,
        (usual, BAR_SPREAD * usual),
        "N*m/deg",
        dimension=Dimension.ROLL_STIFFNESS,
        why=f"class default: {kind.value}",
    )


def side_default(ledger: Ledger, key: str) -> float:
    """Take the usual side rate of one wheel, tyre and suspension together, for any class.

    In [N/m]; NaN where no class is set. A van and two cars were measured: 82, 61 and 97 N/mm
    [allen-807956].
    """
    kind = ledger.class_or_problem(key, "measure it")
    if kind is None:
        return math.nan
    _tell_source(ledger)
    why = f"class default: {kind.value}"
    return ledger.assume(key, SIDE_RATE, "N/mm", dimension=Dimension.RATE, why=why)


def frame_default(ledger: Ledger, key: str) -> float | None:
    """Take the usual torsional stiffness of the class's frame, from axle to axle.

    In [N·m/rad]; None where the class has a body of its own, which counts as rigid; NaN where no
    class is set. Of a ladder frame an estimate: one measured with the body bolted to it had
    934 N·m/deg, the integral body that followed it 3390 [brown-structures].
    """
    kind = ledger.class_or_problem(key, "measure it")
    if kind is None:
        return math.nan
    if kind not in LADDER_FRAMES:
        ledger.assumed.append(f"{key} = rigid (class default: {kind.value})")
        return None
    _tell_source(ledger)
    return ledger.assume(
        key,
        LADDER_FRAME,
        "N*m/deg",
        dimension=Dimension.ROLL_STIFFNESS,
        why=f"class default: {kind.value}, estimate",
    )


def spring_default(
    ledger: Ledger, axle: str, *, load: float, suspension: Suspension | None
) -> float:
    """Estimate a spring's rate from the ride frequency that is usual.

    On one side, at the wheel (independent) or at the spring (solid axle) [N/m]; NaN where no class
    is set. `load` is the sprung load on one side, empty and stock [N].

    Notes
    -----
    k = (2π f)² m, m the sprung mass on that side, empty and stock; the spread of f counts twice.
    Common practice: f about 1.25 Hz in front and 1.5 Hz at the rear, tyres left out.
    """
    key = f"{axle}.spring"
    kind = ledger.class_or_problem(key, "give the spring's rate")
    if kind is None or not load > 0.0 or suspension is None:
        return math.nan
    _tell_source(ledger)
    frequency, spread = getattr(CLASS_DEFAULTS[kind], axle).ride_frequency
    rate = (2.0 * math.pi * frequency) ** 2 * load / STANDARD_GRAVITY / 1e3
    word = "wheel_rate" if suspension is Suspension.INDEPENDENT else "rate"
    return ledger.assume(
        f"{key}.{word}",
        (rate, rate * 2.0 * spread / frequency),
        "N/mm",
        dimension=Dimension.RATE,
        why=f"class default: ride frequency {frequency} Hz ± {spread} Hz",
    )
