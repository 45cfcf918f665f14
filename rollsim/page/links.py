"""What a link to the page asks for that the page cannot show."""

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from rollsim.plots.lean_curves import FULL_REACH, STEPS_PER_G

LATERAL = "lateral"
_SHOWN_AS = {
    "bar": "bar",
    "state": "loaded state",
    "standing": "loaded state",
    "bend": "bend",
    "part": "part",
    "against": "picture of the bars",
    "load": "load",
    "loading": "loading",
    "effect": "effect",
    "change": "change of it",
}


@dataclass(frozen=True, slots=True)
class Range:
    """What a slider shows, from least to most in whole numbers of its unit."""

    words: str
    unit: str
    least: int
    most: int


def refused(asked: Mapping[str, str], allowed: Mapping[str, Collection[str]]) -> tuple[str, ...]:
    """Say what of a link cannot be shown; streamlit drops it without a word.

    `allowed` is what each choice of the page may be. A sentence each; empty where all of it can be
    shown.

    Examples
    --------
    >>> refused({"bend": "up"}, {"bend": ("left", "right")})
    ('The link asks for the bend "up", which this page does not have: it shows its default.',)
    """
    found = [
        f'The link asks for the {word} "{asked[key]}", which this page does not have: it shows '
        "its default."
        for key, word in _SHOWN_AS.items()
        if key in asked and key in allowed and asked[key] not in allowed[key]
    ]
    if LATERAL in asked and not _on_the_slider(asked[LATERAL]):
        found.append(
            f'The link asks for the lateral acceleration "{asked[LATERAL]}"; this page shows 0 to '
            f"{FULL_REACH:g} g in steps of {1 / STEPS_PER_G:g} g."
        )
    return tuple(found)


def outside(asked: Mapping[str, str], sliders: Mapping[str, Range]) -> tuple[str, ...]:
    """Say which sliders a link asks for something that they do not have, a sentence each.

    Examples
    --------
    >>> outside({"radius_m": "5000"}, {"radius_m": Range("radius", "m", 10, 150)})
    ('The link asks for the radius "5000"; this page shows 10 to 150 m.',)
    """
    return tuple(
        f'The link asks for the {shown.words} "{asked[key]}"; this page shows {shown.least} to '
        f"{shown.most} {shown.unit}."
        for key, shown in sliders.items()
        if key in asked and not _whole_within(asked[key], shown)
    )


def _whole_within(text: str, shown: Range) -> bool:
    try:
        value = float(text)
    except ValueError:
        return False
    return shown.least <= value <= shown.most and value == round(value)


def _on_the_slider(text: str) -> bool:
    try:
        value = float(text)
    except ValueError:
        return False
    return 0.0 <= value <= FULL_REACH and on_a_step(value)


def on_a_step(lateral_g: float) -> bool:
    """The slider has a step there [g]."""
    return math.isclose(lateral_g, nearest_step(lateral_g), abs_tol=1e-6)


def nearest_step(lateral_g: float) -> float:
    """The step of the slider nearest to a lateral acceleration [g]."""
    return round(lateral_g * STEPS_PER_G) / STEPS_PER_G
