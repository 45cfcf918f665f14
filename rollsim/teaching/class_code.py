"""A class code gives each apprentice their own numbers, and opens the key to its trainer alone.

The code is the name of the class and a check: a slow salted hash (scrypt) of a passphrase that
only the trainer knows and that no link holds. Anyone with the code gets the numbers of the sheets,
which they must see to do them; the key is written only for the passphrase that fits the code. That
is all that the passphrase keeps: whoever types a sheet's numbers into the page *Vehicle* gets its
answers from *See why*.
"""

import base64
import hashlib
import hmac
import re
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from rollsim import mass
from rollsim.springs import LinearSpring
from rollsim.units import Dimension as D
from rollsim.units import from_unit, to_unit
from rollsim.vehicle import STANDARD_GRAVITY, Axle, Job, Load, Suspension, Vehicle

SHORTEST_PASSPHRASE = 8  # characters
LONGEST_NAME = 40  # characters
LARGEST_NUMBER = 99
_CHECK_BYTES = 5  # eight letters
_CODE = re.compile(r"([a-z0-9]+(?:-[a-z0-9]+)*)-([A-Z2-7]{8})")
_SCRYPT = {"n": 2**14, "r": 8, "p": 1}
_SALT = b"rollsim class code 1: "


def issue(class_name: str, passphrase: str) -> str:
    """Make the code of a class: name and check, fit for a link.

    The passphrase has at least eight characters, and is not in the code. Raises ValueError if it is
    too short, or if the name has no letter or figure, or is too long.

    Examples
    --------
    >>> issue("Autumn, Tuesday", "leaf springs squeak").rsplit("-", 1)[0]
    'autumn-tuesday'
    """
    slug = "-".join(re.findall(r"[a-z0-9]+", class_name.lower()))
    if not 0 < len(slug) <= LONGEST_NAME:
        raise ValueError(
            f"class name: found {class_name!r}; give 1 to {LONGEST_NAME} letters a-z or figures"
        )
    if len(passphrase) < SHORTEST_PASSPHRASE:
        raise ValueError(
            f"passphrase: found {len(passphrase)} characters; give at least {SHORTEST_PASSPHRASE}"
        )
    return f"{slug}-{_check(slug, passphrase)}"


def opens(code: str, passphrase: str) -> bool:
    """Whether a passphrase is the one that a code was made with."""
    match = _CODE.fullmatch(code)
    if match is None:
        return False
    return hmac.compare_digest(match[2], _check(match[1], passphrase))


def is_code(code: str) -> bool:
    """Whether a text has the form of a class code."""
    return len(code) <= LONGEST_NAME + 9 and _CODE.fullmatch(code) is not None


def exercise(job: Job, code: str, number: int) -> Job:
    """The vehicle of one apprentice: like that of a job, with their own numbers.

    Apprentices are numbered from 1. Loads and changes of `job` are left out: the vehicle is
    symmetrical, with linear springs and no stops, rounded as a tape and scales would read. Raises
    ValueError if the code or the number is none.

    Notes
    -----
    The bit stream is PCG64 on the SHA-256 of code and number. Its words are taken as they come:
    NumPy keeps that stream from version to version, which it does not promise for distributions,
    and sheet and key may come from different machines.
    """
    if not is_code(code):
        raise ValueError(f"class code: found {code!r}; give it as the trainer wrote it")
    if not 1 <= number <= LARGEST_NUMBER:
        raise ValueError(f"apprentice: found {number}; allowed 1 to {LARGEST_NUMBER}")
    draw = _shares(f"{code}|{number}")
    return Job(vehicle=_varied(job.vehicle, mass.sprung_load(job), draw, name=f"{code}, {number}"))


def loaded(job: Job, code: str, number: int) -> Job:
    """The vehicle of `exercise` with a load off centre and a helper at the rear, its own too.

    Notes
    -----
    The load stands about over the rear axle; the helper may touch under it or not.
    """
    own, draw = exercise(job, code, number), _shares(f"{code}|{number}|load")
    v, rear = own.vehicle, own.vehicle.rear
    side = 1.0 if next(draw) > 0.0 else -1.0
    load = Load(
        "load",
        _rounded(280.0, 0.4, draw, unit="kg", step=10),
        _rounded(v.wheelbase, 0.1, draw, unit="mm", step=50),
        height=_rounded(1.0, 0.2, draw, unit="mm", step=50),
        left_of_centreline=side * _rounded(0.3, 0.4, draw, unit="mm", step=50),
    )
    rate = rear.spring.rate
    gap = 0.4 * load.mass * STANDARD_GRAVITY / rate  # four fifths of what half the load presses
    spring = LinearSpring(
        rate,
        stage_start=_rounded(gap, 0.5, draw, unit="mm", step=5),
        stage_rate=_rounded(rate, 0.4, draw, unit="N/mm", step=5),
    )
    return replace(own, vehicle=replace(v, rear=replace(rear, spring=spring)), loads=(load,))


def _check(slug: str, passphrase: str) -> str:
    digest = hashlib.scrypt(
        passphrase.encode(), salt=_SALT + slug.encode(), dklen=_CHECK_BYTES, **_SCRYPT
    )
    return base64.b32encode(digest).decode()


def _shares(seed: str) -> Iterator[float]:
    """Numbers from −1 to 1 without end."""
    stream = np.random.PCG64(int.from_bytes(hashlib.sha256(seed.encode()).digest(), "big"))
    while True:
        yield int(stream.random_raw()) / 2**63 - 1.0


def _rounded(value: float, by: float, draw: Iterator[float], *, unit: str, step: float) -> float:
    """`value` moved by up to `by` of it, and rounded to a `step` of the unit.

    Never to the value itself, unless it is 0: no number of a sheet is one of the vehicle it varies.
    A value above 0 does not go below it.
    """
    share = next(draw)
    moved = round(to_unit(value * (1.0 + by * share), unit) / step) * step
    if value and abs(moved - to_unit(value, unit)) < 0.5 * step:
        moved += step if share > 0.0 or value > 0.0 > moved - step else -step
    return from_unit(moved, unit, _DIMENSIONS[unit])


_DIMENSIONS = {
    "kg": D.MASS,
    "mm": D.LENGTH,
    "N/mm": D.RATE,
    "N·m/deg": D.ROLL_STIFFNESS,
}


def _varied(
    vehicle: Vehicle, loads: tuple[float, float], draw: Iterator[float], *, name: str
) -> Vehicle:
    front, rear = (
        _axle(axle, load, draw)
        for axle, load in zip((vehicle.front, vehicle.rear), loads, strict=True)
    )
    return replace(
        vehicle,
        name=name,
        wheelbase=_rounded(vehicle.wheelbase, 0.05, draw, unit="mm", step=5),
        front_axle_mass=_rounded(vehicle.front_axle_mass, 0.08, draw, unit="kg", step=5),
        rear_axle_mass=_rounded(vehicle.rear_axle_mass, 0.08, draw, unit="kg", step=5),
        cg_height=_rounded(vehicle.cg_height, 0.06, draw, unit="mm", step=5),
        cg_left=None,
        front=front,
        rear=rear,
    )


def _axle(axle: Axle, load: float, draw: Iterator[float]) -> Axle:
    rate = float(axle.spring.curve(load).tangent_rate(0.0))
    track = _rounded(axle.track, 0.04, draw, unit="mm", step=5)
    base = _rounded(axle.spring_base, 0.06, draw, unit="mm", step=5)
    solid = axle.suspension is Suspension.SOLID_AXLE
    length, stiffness = {"unit": "mm", "step": 5}, {"unit": "N·m/deg", "step": 5}
    return replace(
        axle,
        track=track,
        spring_base=base if solid else track,
        unsprung_mass=_rounded(axle.unsprung_mass, 0.1, draw, unit="kg", step=5),
        unsprung_cg_height=_rounded(axle.unsprung_cg_height, 0.05, draw, **length),
        roll_centre_height=_rounded(axle.roll_centre_height, 0.1, draw, **length),
        spring=LinearSpring(_rounded(rate, 0.15, draw, unit="N/mm", step=1)),
        tyre=replace(
            axle.tyre,
            vertical_rate=_rounded(axle.tyre.vertical_rate, 0.1, draw, unit="N/mm", step=5),
        ),
        bump_stop=None,
        rebound_limit=None,
        auxiliary_roll_stiffness=_rounded(axle.auxiliary_roll_stiffness, 0.2, draw, **stiffness),
        bar_roll_stiffness=_rounded(axle.bar_roll_stiffness, 0.15, draw, **stiffness),
    )
