"""What a remedy is: records, nothing computed."""

from dataclasses import dataclass
from enum import Enum

from rollsim.sizing import Candidate


class RemedyKind(Enum):
    """What else than one of the bars at hand brings the roll back."""

    LOAD = "load off"
    LIFT = "lift lower"
    REAR_SPRINGS = "rear springs"
    FRONT_BAR = "front bar"
    ARM = "longer arm"
    STEEL = "stronger steel"
    SECTION = "another section"
    LIMIT_STRAPS = "limit straps"
    LINKS_OFF = "links disconnected off road"


@dataclass(frozen=True, slots=True)
class RemedyStep:
    """One thing to do.

    `amounts` are what is taken off [kg]; how much lower in front and at the rear [m]; times the
    rate [-]; added [N·m/rad]; droop left at the strap from as weighed [m]; or empty where the bar
    says it. `whole`: it is all that is sensible, what is more was not looked at. `subject` names a
    load item.
    """

    kind: RemedyKind
    amounts: tuple[float, ...] = ()
    whole: bool = False
    subject: str = ""


@dataclass(frozen=True, slots=True)
class Remedy:
    """What one thing, or two together, bring.

    Parameters
    ----------
    steps : tuple of RemedyStep
        One or two.
    bar : Candidate or None
        To go with it, which lasts and keeps the balance then; None where the roll comes back
        without a new one.
    roll_gradient : float
        With them, as the target measures it [rad/(m/s²)].
    gap_closed : float
        Share of the way from now to the target [-].
    accepted : bool
        That bar is accepted then.
    change : str
        Tables (TOML) to put in place of those of the same name in the file.
    springs_suited : bool or None
        Stiffer rear springs still suit every state; None where they stay.
    to_buy : bool
        That bar has to be bought: the shop's shelf has none like it.
    """

    steps: tuple[RemedyStep, ...]
    bar: Candidate | None
    roll_gradient: float
    gap_closed: float
    accepted: bool
    change: str
    springs_suited: bool | None = None
    to_buy: bool = False

    @property
    def reaches(self) -> bool:
        """A bar is accepted then, or none is needed any more."""
        return self.accepted or self.bar is None

    @property
    def on_condition(self) -> bool:
        """It holds only while somebody does something every time: to stand in bold."""
        return any(step.kind is RemedyKind.LINKS_OFF for step in self.steps)
