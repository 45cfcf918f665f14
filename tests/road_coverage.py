"""How often is the road test right? `python -m tests.road_coverage`: logs of a rigid body by row.

Each row is a plan, a world and what is logged; its seed was fixed before it was first run. With a
number the script makes that many logs a row, with names after it those rows alone.
"""

import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from rollsim.road_test import Log, Part, Stated, analyse, turn_round
from tests.road_drives import (
    CLEAN,
    Drive,
    Pass,
    Place,
    World,
    circle,
    drives,
    fused,
    laps,
    many_bends,
    one_bend,
    road,
)

BATCH = 50
ALLOWED = (Part.FLOOR, Part.SCALE, Part.LEVEL)  # may bind; then over 98 % is no fault
PAD = Stated(level=np.radians(0.3))
ROUND = Place(turn=300.0)
RAMP = one_bend(levels=(0.1,), times=6, place=ROUND, ramp=0.22)


@dataclass(frozen=True)
class Row:
    """What happens on the drives of a row, and what is logged of it."""

    seed: int
    plan: tuple[Pass, ...]
    world: World
    stated: Stated | None = None
    log: Callable[[Drive, int], object] = lambda drive, n: drive.log(n, triad=False)
    refuses: bool = False  # all that is wanted
    corrected: bool = False  # may refuse three of ten
    one_sided: bool = False  # one error in every log, so a bias by definition: it is to be held


@dataclass(frozen=True)
class Told:
    """What came of a row; by log, NaN where it was refused."""

    value: np.ndarray  # deg/g
    half: np.ndarray
    found: np.ndarray  # half of what the log itself tells: without floor, scale and level
    truth: np.ndarray
    reasons: list

    @property
    def refused(self) -> float:
        """Share of the logs."""
        return float(np.isnan(self.value).mean())

    @property
    def covered(self) -> float:
        """Share of the answered intervals that hold the truth."""
        known = ~np.isnan(self.value)
        return float((np.abs(self.value - self.truth) <= self.half)[known].mean())

    @property
    def without(self) -> float:
        """The same were there no floor, scale tolerance and level allowance: do these bind?"""
        known = ~np.isnan(self.value)
        return float((np.abs(self.value - self.truth) <= self.found)[known].mean())

    @property
    def bias(self) -> float:
        """Mean error over the truth."""
        return float(np.nanmean(self.value / self.truth - 1.0))

    @property
    def half_width(self) -> float:
        """Median half of the interval over the value."""
        return float(np.nanmedian(self.half / self.value))


def whole(drive: Drive, n: int) -> Log:
    """All axes."""
    return drive.log(n)


def rows() -> dict[str, Row]:
    """Every row of the table."""
    here, steps = one_bend(), one_bend(levels=(0.12, 0.2, 0.28, 0.34))
    found = {
        "clean circle": Row(401, circle(), CLEAN),
        "protocol": Row(402, steps, World()),
        "protocol, all axes": Row(402, steps, World(), log=whole),
        "protocol, U-turns": Row(404, steps, World(turn_round=True)),
        "bank 1 deg": Row(405, one_bend(bank=(1.0, 1.0)), World()),
        "bank +1/-0.5 deg": Row(406, one_bend(bank=(1.0, -0.5)), World()),
        "protocol, 12 passes": Row(403, here, World()),
        "gyro scale 3 % either way": Row(
            411, here, World(scale=0.0, scale_error=0.03, either_sign=True)
        ),
        "gyro scale by its tolerance": Row(412, here, World(scale=0.02)),
        "gyro scale +3 %": Row(407, here, World(scale=0.0, scale_error=0.03), one_sided=True),
        "gyro scale -3 %": Row(408, here, World(scale=0.0, scale_error=-0.03), one_sided=True),
        "slow ramp": Row(409, RAMP, World(), corrected=True),
    }
    for n, faster in enumerate((0.40, 0.15, 0.05)):
        for k, braking in enumerate(("into", "ends")):
            world = World(faster=faster, braking=braking)
            name = f"{braking} {100 * faster:.0f} %"
            seed = 420 + 10 * n + k
            found[f"{name}, three gyros"] = Row(seed, here, world, log=whole, corrected=True)
            found[f"{name}, one gyro"] = Row(seed, here, world, corrected=True)
    for n, bank in enumerate((0.25, 0.5, 1.0)):
        plan = many_bends(bank=bank)
        stated = replace(PAD, level=max(PAD.level, np.radians(bank)))
        for name, known in (("", None), (", stated", stated)):
            found[f"bank grows {bank:g} deg{name}"] = Row(
                450 + n, plan, World(), known, corrected=True, one_sided=True
            )
    found["bank grows, each at 3 speeds"] = Row(460, laps(), World())
    found["bends as they come"] = Row(461, road(461), World(), corrected=True, one_sided=True)
    free = World(gravity_free=True)
    found |= {
        "no gravity, no speed": Row(
            470, here, free, log=lambda d, n: d.log(n, speed=False, triad=False), refuses=True
        ),
        "no gravity, all axes": Row(
            470, here, free, log=lambda d, n: d.log(n, speed=False), refuses=True
        ),
        "no gravity, speed": Row(470, here, free, refuses=True),
        "no yaw rate": Row(
            402, steps, World(), log=lambda d, n: d.log(n, yaw=False, triad=False), refuses=True
        ),
        "roll reversed": Row(
            402,
            steps,
            World(),
            log=lambda d, n: turn_round(d.log(n, triad=False), lateral=False, roll=True),
            refuses=True,
        ),
    }
    for constant in (1.0, 10.0, 60.0):
        found[f"fused angle, {constant:g} s"] = Row(
            402, steps, World(), log=_angle(constant), refuses=True
        )
    return found


def _angle(constant: float):
    return lambda d, n: d.log(n, triad=False, angle=fused(d, constant))


_drives = lru_cache(maxsize=3)(drives)  # rows that differ in what is logged share them


def run(row: Row, count: int) -> Told:
    """That many logs of a row."""
    value, half, own, truth, reasons = [], [], [], [], []
    for first in range(0, count, BATCH):
        many = min(BATCH, count - first)
        drive = _drives(row.plan, row.world, 1000 * row.seed + first, many)
        for n in range(many):
            found = analyse(row.log(drive, n), row.stated)
            told = found.refused is None
            line = found.line.gradient if told else None
            value.append(np.degrees(line.value * 9.80665) if told else np.nan)
            half.append(np.degrees((line.interval[1] - line.value) * 9.80665) if told else np.nan)
            own.append(_found_by_the_log(found.parts) if told else np.nan)
            reasons += [] if told else [found.refused]
        truth += drive.gradient.tolist()
    return Told(*map(np.array, (value, half, own, truth)), reasons)


def _found_by_the_log(parts: dict[Part, float]) -> float:
    own = (parts.get(part, 0.0) for part in Part if part not in ALLOWED)
    return float(np.degrees(np.hypot.reduce(list(own)) * 9.80665))


def main(count: int, names: list[str]) -> None:
    """Print a row each."""
    print(
        f"{'row':34s}{'refused':>9s}{'covered':>9s}{'without':>9s}{'bias':>8s}{'sd':>7s}{'half':>7s}{'ms':>6s}"
    )
    for name, row in rows().items():
        if names and not any(part in name for part in names):
            continue
        start = time.perf_counter()
        told = run(row, count)
        spent = 1e3 * (time.perf_counter() - start) / count
        line = f"{name:34s}{told.refused:9.1%}"
        if told.refused < 1.0:
            off = np.nanstd(told.value / told.truth)
            line += f"{told.covered:9.1%}{told.without:9.1%}{told.bias:8.1%}{off:7.1%}"
            line += f"{told.half_width:7.1%}"
        else:
            line += " " * 40
        print(f"{line}{spent:6.0f}  {told.reasons[0][:70] if told.reasons else ''}", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100, sys.argv[2:])
