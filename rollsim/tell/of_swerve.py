"""How much further it leans in a swerve: figures, JSON and the sentence, each declared once."""

from rollsim.reader_units import NO_FIGURE, ReaderUnits, figure, plain
from rollsim.roll import StateResult, Swerve
from rollsim.roll.swerve import RISE_TIME
from rollsim.tell.figures import Figure, Record
from rollsim.tell.kinds import FREQUENCY, RATIO, Kind

_PER_CENT = Kind("%", decimals=0)
TITLE = f"In a swerve, further than the steady lean (side force there within {RISE_TIME:g} s), %"


def band_words(low: float, high: float) -> str:
    """A band of shares as whole per cent."""
    return f"{plain(100.0 * low, 0)}–{plain(100.0 * high, 0)}"


def _as_it_is(state: StateResult, _: ReaderUnits) -> str:
    found = state.swerve
    return NO_FIGURE if found is None else band_words(found.low, found.high)


def _worn(state: StateResult, _: ReaderUnits) -> str:
    found = state.swerve
    return NO_FIGURE if found is None else band_words(found.worn_low, found.worn_high)


SWERVE = (
    Figure("swerve", "", "in a swerve it leans further by", _PER_CENT, text=_as_it_is),
    Figure("swerve", "", "the same with worn shock absorbers", _PER_CENT, text=_worn),
)
"""Overshoot in roll over the steady lean, with dampers as they are and half as good."""


def swerve_record(found: Swerve | None) -> Record:
    """JSON of one state: shares of the steady lean; null where it does not stand."""
    if found is None:
        return {"swerve": None}
    bands = {
        "overshoot": (found.low, found.high),
        "overshoot_worn_dampers": (found.worn_low, found.worn_high),
    }
    return {
        "swerve": {
            "rise_time_s": RISE_TIME,
            **{key: [RATIO.number(end) for end in band] for key, band in bands.items()},
            "roll_frequency_Hz": FREQUENCY.number(found.frequency),
            "damping_ratio_measured": found.measured,
        }
    }


def swerve_words(found: Swerve | None) -> str:
    """What a swerve adds to a steady lean; empty where it does not stand."""
    if found is None:
        return ""
    unsure = "" if found.measured else " Usual shock absorbers are assumed: a bounce test tells."
    worn = band_words(found.worn_low, found.worn_high)
    return (
        f"In a swerve it leans {band_words(found.low, found.high)} % further than in the steady "
        f"bend for a moment, with worn shock absorbers {worn} %; straight back the other way "
        f"throws it further still.{unsure}"
    )


def swerve_lean_words(found: Swerve | None, gradient: float) -> str:
    """What a lean per g [rad/(m/s²)] comes to in a swerve; empty where it does not stand."""
    if found is None:
        return ""
    low, high, worn_low, worn_high = (
        figure(gradient * (1.0 + more), "deg/g")
        for more in (found.low, found.high, found.worn_low, found.worn_high)
    )
    return (
        f"Of these {figure(gradient, 'deg/g')} deg/g a swerve makes {low}–{high} deg/g for a "
        f"moment, with worn shock absorbers {worn_low}–{worn_high} deg/g."
    )
