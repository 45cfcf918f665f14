"""CG height by lifting an axle, against a vehicle tilted as a rigid body.

Independent mechanics, not another program: a body with two wheel centres and a CG is turned until
the lifted wheels stand so much higher, and one balance of moments gives what the scales would read.
No formula of an axle lift is used.
"""

import math
from itertools import product

import pytest
from scipy.optimize import brentq

from rollsim.weighing import AxleLift, Lift, RaisedAxle, cg_height_of_lifts

MASS, WHEELBASE = 1990.0, 3.085


def readings(height: float, radii: tuple[float, float], raised: RaisedAxle, lift: float):
    """Level front and rear masses, and the one left on the scales when lifted [kg]."""
    behind = WHEELBASE * 860.0 / MASS
    front, rear, cg = (
        complex(0.0, radii[0]),
        complex(-WHEELBASE, radii[1]),
        complex(-behind, height),
    )
    low, high = (front, rear) if raised is RaisedAxle.REAR else (rear, front)

    def turned(angle: float) -> tuple[complex, complex]:
        """Lifted wheel centre and CG as seen from the wheel centre left on the ground."""
        turn = complex(math.cos(angle), math.sin(angle))
        return (high - low) * turn, (cg - low) * turn

    def too_low(angle: float) -> float:
        return (high.imag - low.imag + lift) - turned(angle)[0].imag

    far = 0.7 if high.real > low.real else -0.7
    up, at = turned(brentq(too_low, 0.0, far, xtol=1e-14))
    return (
        MASS * (1.0 - behind / WHEELBASE),
        MASS * behind / WHEELBASE,
        MASS * (1.0 - at.real / up.real),
    )


CASES = list(product(RaisedAxle, (0.55, 0.75, 1.1), ((0.37, 0.37), (0.36, 0.40)), (0.4, 0.9)))


@pytest.mark.parametrize(("raised", "height", "radii", "lift"), CASES)
def test_the_height_comes_back(raised, height, radii, lift):
    front, rear, lifted = readings(height, radii, raised, lift)
    test = AxleLift(
        WHEELBASE,
        front,
        rear,
        front_radius=radii[0],
        rear_radius=radii[1],
        lifts=(Lift(lift, lifted),),
        raised=raised,
    )
    assert cg_height_of_lifts(test) == pytest.approx(height, abs=1e-9)


def test_several_lifts_agree():
    lifts = []
    for lift in (0.5, 0.8, 1.0):
        front, rear, lifted = readings(0.8, (0.37, 0.37), RaisedAxle.REAR, lift)
        lifts.append(Lift(lift, lifted))
    test = AxleLift(
        WHEELBASE,
        front,
        rear,
        front_radius=0.37,
        rear_radius=0.37,
        lifts=tuple(lifts),
        raised=RaisedAxle.REAR,
    )
    assert cg_height_of_lifts(test) == pytest.approx(0.8, abs=1e-9)
