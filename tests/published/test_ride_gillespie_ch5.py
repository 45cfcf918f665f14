"""T. D. Gillespie, Fundamentals of Vehicle Dynamics, SAE 1992, ch. 5 (from memory).

Tyres 1198 lb/in, springs 143 and 100 lb/in, 957 and 730 lb: ride rates 127.8 and 92.3 lb/in,
natural frequencies 1.14 and 1.11 Hz.
"""

import pytest

from rollsim.spring_check import ride_frequency, ride_rate

POUND_FORCE, INCH, POUND = 4.4482216152605, 0.0254, 0.45359237
PER_INCH = POUND_FORCE / INCH
TYRE = 1198.0 * PER_INCH


@pytest.mark.parametrize(("spring", "printed"), [(143.0, 127.8), (100.0, 92.3)])
def test_ride_rate(spring, printed):
    assert ride_rate(spring * PER_INCH, TYRE) / PER_INCH == pytest.approx(printed, abs=0.05)


@pytest.mark.parametrize(
    ("spring", "weight", "printed"), [(143.0, 957.0, 1.14), (100.0, 730.0, 1.11)]
)
def test_ride_frequency(spring, weight, printed):
    found = ride_frequency(spring * PER_INCH, TYRE, weight * POUND)
    assert found == pytest.approx(printed, abs=0.005)
