"""Do the intervals of the road test hold the truth, and is refused what tells nothing?

A tenth of what `python -m tests.road_coverage 1000` runs; logs of a rigid body (`road_drives`).
"""

import numpy as np
import pytest

from tests.builders import EVERY
from tests.road_coverage import Told, rows, run

ROWS = rows()
ANSWERED = [name for name, row in ROWS.items() if not row.refuses]
LOGS, FEW = 100, 10
TAKEN = (  # of which every log counts in each run; the others with ROLLSIM_EVERY=1
    "clean circle",
    "protocol, 12 passes",
    "bank +1/-0.5 deg",
    "gyro scale 3 % either way",
    "gyro scale by its tolerance",
    "slow ramp",
    "into 15 %, three gyros",
    "into 15 %, one gyro",
    "bank grows 0.5 deg",
    "bank grows 0.5 deg, stated",
    "bends as they come",
)
LONG = ("bends as they come",)  # three times as many bends as the others


def bias_is_small(told: Told) -> bool:
    """Within a third of the half-width, and two standard errors of so few logs."""
    known = told.value[~np.isnan(told.value)] / told.truth[~np.isnan(told.value)]
    chance = 2.0 * known.std() / np.sqrt(len(known))
    return abs(told.bias) <= np.nanmedian(told.half / told.truth) / 3.0 + chance


@pytest.mark.parametrize("name", ANSWERED if EVERY else TAKEN)
def test_an_answer_holds_the_truth(name):
    row = ROWS[name]
    told = run(row, LOGS // 4 if name in LONG and not EVERY else LOGS)
    if name == "into 40 %, one gyro":
        assert told.refused > 0.5  # so wide that hardly one is answered; those that are hold
    else:
        assert told.refused <= (0.3 if row.corrected else 0.05)
    assert told.covered >= 0.87
    assert row.one_sided or bias_is_small(told)
    if name.startswith(("clean", "protocol")):
        assert told.half_width <= 0.06


@pytest.mark.parametrize("name", ["bank 1 deg", "bank +1/-0.5 deg", "bank grows, each at 3 speeds"])
def test_bank_is_not_in_the_slope_within_a_bend(name):
    told = run(ROWS[name], 16)
    assert told.refused == 0.0
    assert abs(told.bias) < 0.02


@pytest.mark.parametrize("name", [name for name, row in ROWS.items() if row.refuses])
def test_what_tells_nothing_is_refused(name):
    told = run(ROWS[name], LOGS if EVERY else FEW)
    assert told.refused >= 0.99
