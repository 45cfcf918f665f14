"""The figures of each test in the bay, declared once: for the command, JSON and the page."""

import math
from dataclasses import dataclass

from rollsim.bar import TAPE_ERROR, VERNIER_ERROR
from rollsim.estimates import Estimate
from rollsim.measured import BounceResult, Calibration, FrameTwist, LeanResult, LoadResult, Unknown
from rollsim.measured.bounce import STANDS_OUT
from rollsim.measured.frame_twist import TwistVehicle
from rollsim.reader_units import ReaderUnits, figure
from rollsim.tell.kinds import (
    FINE_RATIO,
    FORCE,
    LEAN,
    LENGTH,
    MOMENT,
    PART_MASS,
    RATE,
    RATIO,
    ROLL_STIFFNESS,
    Kind,
    labelled,
)
from rollsim.units import to_unit
from rollsim.weighing import CgHeight, WeighedItem

ENDS = ("front", "rear")
TRUST = (
    "standard errors count what the readings scatter, or are said to scatter; a suspension that "
    "was not blocked or not bounced, a floor that slopes and a scale out of level come on top"
)


@dataclass(frozen=True, slots=True)
class Measured:
    """A measured figure in SI: its key in JSON (with the unit at its end), its words, its kind."""

    key: str
    words: str
    kind: Kind
    value: Estimate

    def label(self, units: ReaderUnits) -> str:
        """Words and unit."""
        return labelled(self.words, self.kind.unit_for(units))


def of_axle_lift(found: CgHeight) -> tuple[Measured, ...]:
    """The CG height."""
    return (Measured("cg_height_mm", "CG height, whole vehicle", LENGTH, found.height),)


def of_load_test(found: LoadResult) -> tuple[Measured, ...]:
    """Rate and friction of one side."""
    return (
        Measured("wheel_rate_N_per_mm", "wheel rate, one side", RATE, found.wheel_rate),
        Measured("friction_N", "friction, half the loop", FORCE, found.friction),
    )


def of_lean_test(found: LeanResult) -> tuple[Measured, ...]:
    """Net roll stiffness, and friction as a moment and as a lean."""
    return (
        Measured(
            "net_roll_stiffness_Nm_per_deg",
            "net roll stiffness",
            ROLL_STIFFNESS,
            found.net_roll_stiffness,
        ),
        Measured("friction_Nm", "friction, half the loop", MOMENT, found.friction),
        Measured("friction_deg", "lean that friction holds", LEAN, found.half_width),
    )


def of_bounce(found: BounceResult) -> tuple[Measured, ...]:
    """The damping ratio in roll."""
    words = "damping ratio in roll"
    return (Measured("roll_damping_ratio", words, FINE_RATIO, found.damping_ratio),)


def bounce_notes(found: BounceResult) -> tuple[str, ...]:
    """What a reader of a bounce test should know."""
    notes = [
        "springs and bushes that rub count as damping here: the ratio is more the smaller the "
        "swings were",
    ]
    if found.largest_residual > STANDS_OUT:
        notes.insert(
            0,
            f"a swing lies {found.largest_residual:.1f} standard errors off the line: friction "
            "that holds the small ones, or a slip; leave them out, or push further",
        )
    return tuple(notes)


def of_frame_twist(found: FrameTwist) -> tuple[Measured, ...]:
    """Stiffness of the frame, and the cab's share where it was read."""
    stiffness = Measured(
        "frame_torsional_stiffness_Nm_per_deg",
        "torsional stiffness of the frame, axle to axle",
        ROLL_STIFFNESS,
        found.stiffness,
    )
    if found.cab_share is None:
        return (stiffness,)
    words = "share of the twist that the cab takes"
    return stiffness, Measured("cab_share_of_twist", words, FINE_RATIO, found.cab_share)


def frame_notes(found: FrameTwist, units: ReaderUnits) -> tuple[str, ...]:
    """What a reader of a frame-twist test should know; stops that were touched first."""
    front, rear = (MOMENT.with_unit(x, units) for x in (found.front_moment, found.rear_moment))
    notes = [
        f"the body turned {LEAN.with_unit(turn, units)} over the {end} axle, and a stop touches at "
        f"{LEAN.with_unit(free, units)}: the scales count what it carries, but look that nothing "
        "bound or bent, and take lower blocks where in doubt"
        for end, turn, free in zip(ENDS, found.turns, found.free_turns, strict=True)
        if turn > free
    ]
    notes += [
        f"the frame twists {LEAN.with_unit(found.twist, units)} each way under {front} by the "
        f"front scales, {rear} by the rear ones",
        "what is bolted to the frame stiffens it and counts in: test it with the tray or canopy on "
        "that it is driven with",
    ]
    if found.cab_share is None:
        notes.append("no level was on the cab's sill: its share of the twist stays as it is")
    return tuple(notes)


def stop_words(vehicle: TwistVehicle, units: ReaderUnits) -> str:
    """How far the body of a vehicle on blocks may turn over its axles, half a sentence."""
    told = [
        f"{LEAN.with_unit(end.free_turn, units)} over the {name} axle"
        for name, end in zip(ENDS, (vehicle.front, vehicle.rear), strict=True)
        if math.isfinite(end.free_turn)
    ]
    if not told:
        return "the scenario has no stops: look at each one, none may touch"
    return f"on this vehicle a stop touches where the body turns {' or '.join(told)}"


def of_calibration(found: Calibration) -> tuple[Measured, ...]:
    """What the scenario said of a lean test, and the unknown that agrees."""
    before = Measured(
        "predicted_net_roll_stiffness_Nm_per_deg",
        "net roll stiffness, as the scenario predicts it",
        ROLL_STIFFNESS,
        Estimate(found.predicted_before, math.nan),
    )
    if found.unknown is Unknown.CG_HEIGHT:
        words = "CG height that agrees"
        return before, Measured("calibrated_cg_height_mm", words, LENGTH, found.value)
    words = f"{found.unknown.value}, to be added to what is stated"
    return before, Measured("added_roll_stiffness_Nm_per_deg", words, ROLL_STIFFNESS, found.value)


def of_bar(
    rate: Estimate, roll_stiffness: Estimate | None = None, across: str = ""
) -> tuple[Measured, ...]:
    """Rate at the link, and where it is known roll stiffness `across` an axle."""
    words = "bar stiffness at the link (link-end rate)"
    link_end = Measured("link_end_rate_N_per_mm", words, RATE, rate)
    if roll_stiffness is None:
        return (link_end,)
    words = f"roll stiffness {across}"
    return link_end, Measured("roll_stiffness_Nm_per_deg", words, ROLL_STIFFNESS, roll_stiffness)


def of_roll_centre(
    height: Estimate, travel_ratio: Estimate, *, axle: str, linkage: str
) -> tuple[Measured, ...]:
    """Height and travel ratio, of an axle ("front") with a linkage in words."""
    words, key = f"{axle} roll centre ({linkage})", f"{axle}_roll_centre"
    return (
        Measured(f"{key}_height_mm", f"{words}, height", LENGTH, height),
        Measured(
            f"{key}_travel_ratio",
            f"{words}, moves with the body (travel ratio)",
            RATIO,
            travel_ratio,
        ),
    )


def of_item(found: WeighedItem) -> tuple[Measured, ...]:
    """Mass and place of a load item."""
    return (
        Measured("mass_kg", "mass", PART_MASS, found.mass),
        Measured("behind_front_axle_mm", "behind the front axle", LENGTH, found.behind_front_axle),
        Measured("left_of_centreline_mm", "left of centre", LENGTH, found.left_of_centreline),
    )


def off_the_line(residual: float, unit: str) -> str:
    """The worst reading: one that stands out tells of a slip or of a stage that came in."""
    places = {"mm": 1, "in": 3}.get(unit)
    return f"worst reading {figure(residual, unit, places)} {unit} off the line"


def bar_notes(units: ReaderUnits) -> tuple[str, ...]:
    """What stands beside a bar by vernier and tape, in the reader's units."""
    vernier, tape = (
        f"{to_unit(error, units.length):.2g} {units.length}"
        for error in (VERNIER_ERROR, TAPE_ERROR)
    )
    return (
        f"readings without a tolerance are taken as good to {vernier} by vernier and {tape} by "
        "tape (90 %); the rate grows with the fourth power of the diameter",
        "bushes and links that are left out count as rigid, which makes the bar too stiff",
    )
