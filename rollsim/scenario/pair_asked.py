"""A front bar to be chosen with the rear one: what a file lacks to be asked for a pair."""

import math
from functools import lru_cache

from rollsim.bar import parse_measured_section, stiffness_by_dimensions
from rollsim.scenario.bounds import parsed
from rollsim.scenario.editing import Value, changed
from rollsim.scenario.keys import ASSUMED, bare
from rollsim.scenario.starting import USUAL_COUPLING, usual_front_bar
from rollsim.scenario.vehicle_bar import dimensions_of
from rollsim.vehicle import Job, Suspension, VehicleClass

THICK, THICK_ON_A_CAR = 28, 23  # mm: usual, common practice, no source
SHORTEST, LONGEST = 100.0, 600.0  # mm
ROUND = 5  # mm: an arm that is guessed
BIGGER = (0, 2, 4, 6, 8)  # mm than the bar that is on
USUAL_STEEL = "51CrV4 spring temper"


def ask_for_a_pair(text: str, job: Job) -> str:
    """The text of a scenario with sections of a front bar to choose from.

    Where nobody read the dimensions of the bar that is on, its rate stays as the file has it, and
    the new one gets the usual shape of the class, marked as assumed, with about the arm that makes
    it as stiff. Raises ValueError where `no_pair` has
    words, and for a file that is laid out too unusually, or is too long, to be changed.
    """
    own, shape = _bar_that_is_on(text, job), {}
    if "section" not in own:
        own = shape = _usual(job, own)
    size = parse_measured_section(bare(str(own["section"]))).outer_diameter.value * 1e3
    sections = [f"{math.ceil(size - 0.5) + more} mm solid" for more in BIGGER]
    new = {"sections": sections} | ({} if "material" in own else {"material": USUAL_STEEL})
    asked = _under("front_bar", new) | _under("front_bar.shape", shape)
    return changed(text, {"front_bar": None} | asked)


def no_pair(text: str, job: Job) -> str:
    """Why nobody can ask for a pair; empty where one can.

    No front bar is on, whose shape could be taken, or none of the usual shape is as stiff.
    """
    try:
        own = _bar_that_is_on(text, job)
        if "section" not in own:
            _usual(job, own)
    except ValueError as why:
        return str(why)
    return ""


def _bar_that_is_on(text: str, job: Job) -> dict[str, Value]:
    if not job.vehicle.front.bar_roll_stiffness > 0.0:
        raise ValueError("no front bar is on it, whose shape a new one could have")
    own = parsed(text)["front"].get("bar")
    return dict(own) if isinstance(own, dict) else {}


def _under(table: str, keys: dict[str, Value]) -> dict[str, Value]:
    return {f"{table}.{key}": one for key, one in keys.items()}


def _usual(job: Job, own: dict[str, Value]) -> dict[str, Value]:
    """The usual shape with about the arm that makes it as stiff as the bar that is on."""
    front = job.vehicle.front
    independent = front.suspension is Suspension.INDEPENDENT
    keys = usual_front_bar(
        job.vehicle.vehicle_class or VehicleClass.CREW_CAB_TRUCK, independent=independent
    )
    keys |= USUAL_COUPLING
    if independent and "installation_ratio" in own:
        keys["installation_ratio"] = own["installation_ratio"]

    thick = THICK_ON_A_CAR if job.vehicle.vehicle_class is VehicleClass.CAR else THICK
    keys = {"section": f"{thick} mm solid"} | keys
    del keys["arm_holes"]  # the arm is what is looked for
    arm = _arm(tuple(keys.items()), independent, front.track, wanted=front.bar_roll_stiffness)
    guessed = {"section": f"{keys['section']} {ASSUMED}"}
    guess = ROUND * round(arm / ROUND)  # nobody taped it: no digits that look as if
    return keys | guessed | {"arm_holes": [f"{guess} mm {ASSUMED}"]}


@lru_cache(maxsize=16)
def _arm(
    keys: tuple[tuple[str, Value], ...], independent: bool, track: float, *, wanted: float
) -> float:
    """The arm [mm] that gives a bar of that shape the roll stiffness wanted [N·m/rad].

    Kept: a page asks with every input, and what is on does not change.
    """

    def stiffness(arm: float) -> float:
        holes = {"arm_holes": [f"{arm:.6f} mm"]}
        readings, table = dimensions_of(dict(keys) | holes, "the usual front bar")
        ratio = table.installation_ratio if independent else None
        found = stiffness_by_dimensions(readings, installation_ratio=ratio, track=track)
        return found.value

    if not stiffness(LONGEST) < wanted < stiffness(SHORTEST):
        raise ValueError("no bar of the usual shape is as stiff as the one that is on")
    from scipy.optimize import brentq  # not before it is asked for

    return brentq(lambda arm: stiffness(arm) - wanted, SHORTEST, LONGEST, xtol=1e-3)
