"""What a bar is made of: round sections, steels and the forms they are supplied in."""

import difflib
import itertools
import math
from dataclasses import dataclass
from enum import Enum

# Radial rate of one bush and axial rate of one link in class words: value and ± spread [N/m].
# Common practice, no source.
BUSH_RATES = {"rubber": (5e6, 3e6), "polyurethane": (9e6, 4e6)}
LINK_RATES = {"rubber-ended": (4e6, 2e6), "ball-jointed": (12e6, 5e6)}

# Diameters come out of unit conversions: 0.016 m must still count as "up to 16 mm".
_ROUNDING = 1e-9


class Form(Enum):
    """Form in which a steel is supplied, and the name of its built-in section list."""

    ROUND_BAR = "round bars"
    EN_TUBE = "EN 10305-1 tubes"
    ASTM_TUBE = "ASTM A513 tubes"


@dataclass(frozen=True, slots=True)
class Section:
    """A solid round or a round tube.

    Parameters
    ----------
    outer_diameter : float
        [m].
    wall : float or None
        Wall thickness [m]; None: solid.

    Raises
    ------
    ValueError
        If a size is not positive or the wall is thicker than the radius.

    Examples
    --------
    >>> Section(0.027, 0.004).label
    '27 mm x 4 mm'
    >>> round(Section(0.030, None).second_moment * 2 * 1e8, 5)
    7.95216
    """

    outer_diameter: float
    wall: float | None

    def __post_init__(self) -> None:
        if not 0.0 < self.outer_diameter < math.inf:
            raise ValueError(
                f"outer diameter {self.outer_diameter * 1e3:g} mm: it must be above zero; "
                "measure the bar across"
            )
        if self.wall is not None and not 0.0 < self.wall <= self.outer_diameter / 2.0:
            raise ValueError(
                f"wall {_millimetres(self.wall)} in a tube of {_millimetres(self.outer_diameter)}: "
                "it must be above zero and no thicker than the radius, "
                f"{_millimetres(self.outer_diameter / 2.0)}; give the wall, not the bore, "
                "or write 'solid'"
            )

    @property
    def inner_diameter(self) -> float:
        """Bore [m]; 0 where solid."""
        return 0.0 if self.wall is None else self.outer_diameter - 2.0 * self.wall

    @property
    def area(self) -> float:
        """Area of the steel [m²]."""
        return math.pi / 4.0 * (self.outer_diameter**2 - self.inner_diameter**2)

    @property
    def second_moment(self) -> float:
        """Second moment of area I about a diameter [m⁴]; the polar one is J = 2 I."""
        return math.pi / 64.0 * (self.outer_diameter**4 - self.inner_diameter**4)

    @property
    def label(self) -> str:
        """The section in words, metric."""
        outer = _millimetres(self.outer_diameter)
        return f"{outer} solid" if self.wall is None else f"{outer} x {_millimetres(self.wall)}"


@dataclass(frozen=True, slots=True)
class Steel:
    """A steel in one state of heat treatment.

    Parameters
    ----------
    name : str
        As the scenario calls it.
    strengths : tuple of (float, float)
        Greatest outer diameter [m] and allowable stress, the yield or proof stress [Pa], the
        diameters rising; the last diameter may be infinite.
    forms : tuple of Form
        Forms it is supplied in; every form for a steel that the user states.
    source : str
        Where the strengths come from, or "from memory".
    youngs_modulus, shear_modulus : float
        [Pa].
    density : float
        [kg/m³].
    fatigue_allowable : float or None
        Allowable stress amplitude [Pa]; None where no source gives one.

    Raises
    ------
    ValueError
        If a value is not positive, or the diameters do not rise.
    """

    name: str
    strengths: tuple[tuple[float, float], ...]
    forms: tuple[Form, ...] = tuple(Form)
    source: str = "stated by the user"
    youngs_modulus: float = 206e9
    shear_modulus: float = 79.3e9
    density: float = 7850.0
    fatigue_allowable: float | None = None

    def __post_init__(self) -> None:
        stated = {
            "Young's modulus": self.youngs_modulus,
            "shear modulus": self.shear_modulus,
            "density": self.density,
        }
        stated |= {"allowable stress": min((stress for _, stress in self.strengths), default=0.0)}
        if self.fatigue_allowable is not None:
            stated |= {"fatigue allowable": self.fatigue_allowable}
        for word, value in stated.items():
            if not 0.0 < value < math.inf:
                raise ValueError(f"{self.name}: {word} {value:g} must be above zero and finite")
        diameters = [diameter for diameter, _ in self.strengths]
        if any(b <= a for a, b in itertools.pairwise(diameters)):
            raise ValueError(f"{self.name}: the diameters of its strengths must rise")

    def allowable_stress(self, outer_diameter: float) -> float:
        """Allowable stress at that size.

        Parameters
        ----------
        outer_diameter : float
            Of the bar [m].

        Returns
        -------
        float
            [Pa].

        Raises
        ------
        ValueError
            If no strength is known for a section as thick as that.
        """
        for greatest, stress in self.strengths:
            if outer_diameter <= greatest + _ROUNDING:
                return stress
        raise ValueError(
            f"{self.name}: its strength is known up to {_millimetres(self.strengths[-1][0])} outer "
            f"diameter, found {_millimetres(outer_diameter)}; take thinner sections or state "
            "the steel with its own allowable_stress"
        )


@dataclass(frozen=True, slots=True)
class Stock:
    """Sections that one steel is at hand in.

    Parameters
    ----------
    steel : Steel
        Of all of them.
    sections : tuple of Section
        At least one.

    Raises
    ------
    ValueError
        If there is no section, or the steel's strength is unknown at one of them.
    """

    steel: Steel
    sections: tuple[Section, ...]

    def __post_init__(self) -> None:
        if not self.sections:
            raise ValueError(f"{self.steel.name}: no sections; list at least one")
        self.steel.allowable_stress(max(section.outer_diameter for section in self.sections))


def _millimetres(length: float) -> str:
    return f"{round(length * 1e3, 3):.12g} mm"


STEELS = (
    Steel(
        name="51CrV4 quenched and tempered",
        strengths=((0.016, 900e6), (0.040, 800e6), (0.100, 700e6)),
        forms=(Form.ROUND_BAR,),
        source="yield strength by diameter, stockist's data sheet",
    ),
    Steel(
        name="51CrV4 spring temper",
        strengths=((math.inf, 1080e6),),
        forms=(Form.ROUND_BAR,),
        source="proof stress, data sheet citing EN 10089",
    ),
    Steel(
        name="52CrMoV4 hardened and tempered",
        strengths=((0.025, 1200e6),),
        forms=(Form.ROUND_BAR,),
        source="Rp0.2 at 25 mm, steelmaker's data sheet to DIN 17221",
    ),
    Steel(
        name="E355+N tube",
        strengths=((math.inf, 355e6),),
        forms=(Form.EN_TUBE,),
        source="ReH, EN 10305-1",
    ),
    Steel(
        name="4130 normalised tube",
        strengths=((math.inf, 435e6),),
        forms=(Form.ASTM_TUBE,),
        source="from memory: yield 435-515 MPa, the lower bound taken",
    ),
    Steel(
        name="1026 drawn-over-mandrel tube",
        strengths=((math.inf, 480e6),),
        forms=(Form.ASTM_TUBE,),
        source="from memory: yield to ASTM A513",
    ),
)


OF_YOUR_OWN = "state your own as a table with name and allowable_stress"


def find_steel(name: str, otherwise: str = OF_YOUR_OWN) -> Steel:
    """Look a built-in steel up.

    Parameters
    ----------
    name : str
        Its name; capitals and doubled spaces do not matter.
    otherwise : str
        What to do where there is none, for the error.

    Returns
    -------
    Steel
        From the built-in table; stresses in [Pa], density in [kg/m³].

    Raises
    ------
    ValueError
        If there is none of that name.

    Examples
    --------
    >>> find_steel("51CrV4 Spring Temper").allowable_stress(0.030) / 1e6
    1080.0
    """
    known = {steel.name.lower(): steel for steel in STEELS}
    wanted = " ".join(name.lower().split())
    if wanted in known:
        return known[wanted]
    close = difflib.get_close_matches(wanted, known, n=1, cutoff=0.4)
    hint = f"did you mean '{known[close[0]].name}'? " if close else ""
    raise ValueError(
        f"no built-in steel '{name}'; {hint}"
        f"known: {', '.join(steel.name for steel in STEELS)}; or {otherwise}"
    )
