"""How is a road test said: the rule before the drive, the answer, the correction, in sentences."""

import math

from rollsim.correction_wording import calibration_notes, replaced_words
from rollsim.mass import spoken
from rollsim.measured import Calibration, Unknown
from rollsim.reader_units import ReaderUnits, figure, with_unit
from rollsim.road_answer import Corrected, RoadAnswer, agrees, same_bar
from rollsim.road_test import Mounting, Role, Sensor, nearest_axis
from rollsim.road_test.columns import Found
from rollsim.road_test.drive_rule import MOST, SHARE, TOO_LITTLE, Allowance
from rollsim.sentences import sentence
from rollsim.tell.of_road import MEASURED, PREDICTED
from rollsim.units import to_unit
from rollsim.wording import bar_words, choice_words

_BEFORE_THE_DRIVE = (
    "Closed, level, dry and wide area, no kerb, no soft edge, nobody in it; a public road is no "
    "such area.",
    "Load strapped so that it cannot shift; tyres and pressures as weighed; belts on.",
    "A passenger records, the driver drives; start gently and go up speed by speed.",
    "People, fuel and load aboard are those of the state that the log is held against.",
    "One circle or one bend of three vehicle lengths in radius or more, at three speeds or more "
    "from about 0.12 g to 0.3 g, left and right, all of it twice: twelve passes. The same bend at "
    "each speed is what tells its bank from the lean.",
    "Every pass: straight or standing for 5 s, up to speed, through the bend at that speed, steady "
    "for 5 s or more, out at that speed, straight or standing for 5 s; within 20 s or so. No "
    "braking and no throttle in the bend.",
    "Log all three rates of turn, all three accelerations as the sensor reads them, and speed, at "
    "10 Hz or more; the phone or logger fixed to the floor, in any position. No tilt angle of a "
    "phone, no acceleration without gravity.",
    "Bends of different places tell lean from bank only as far as they are level: lay a long level "
    "across the line in each; a gap of half a per cent of its length under one end is 0.3 deg. "
    "Unchecked, they give a wide figure, below 0.3 g none.",
    "Stop at once if the load moves, a wheel goes light or the stability control cuts in.",
    "The limit above is a rule for a measuring drive, no safe speed and no assurance; local codes, "
    "the owner of the ground and your insurer decide whether you may drive at all.",
)

_SHARE = {0.5: "half"}[SHARE]
_VAGUER = "This drive is less sure than the inputs: leave the vehicle as it is."


def limit_words(found: Allowance) -> str:
    """The limit of a test drive [g], rounded down."""
    hundredths = math.floor(to_unit(found.limit, "g") * 100.0 + 1e-9)
    return f"{hundredths / 100.0:.2f} g"


def allowance_words(found: Allowance, state: str) -> str:
    """The rule of the test drive with this vehicle's own figure [g]."""
    name = f'"{spoken(state)}"'
    if math.isnan(found.first):
        return (
            f"No test drive with {name}: where it tips was not resolved. Do the lean test in the "
            "bay instead."
        )
    band = "the lower end of the band" if found.banded else "no input has a tolerance, so no band"
    why = (
        f"the least of {with_unit(MOST, 'g', 1)} and {_SHARE} of {figure(found.lower, 'g')} g, "
        f"where with {name} a wheel lifts or it tips ({band})"
    )
    limit = limit_words(found)
    if found.is_too_little:
        return (
            f"Do the lean test in the bay instead of a drive: the allowance is {limit}, {why}, "
            f"and below {with_unit(TOO_LITTLE, 'g', 1)} a drive tells too little."
        )
    return f"No drive above {limit}: {why}."


def before_words(found: Allowance) -> tuple[str, ...]:
    """How to drive, a sentence each; none where no drive is to be."""
    return () if found.is_too_little else _BEFORE_THE_DRIVE


def measured_words(found: RoadAnswer) -> str:
    """Measured against predicted [deg/g] in a sentence, or why there is no figure."""
    test, expected = found.test, found.predicted
    if test.refused is not None:
        return f"No figure: {test.refused}."
    _, value, band = MEASURED.row(found)
    whose = f'the {found.sensor.value} of "' if found.sensor is Sensor.TRAY else '"'
    text = f'Measured, {whose}{spoken(found.state)}" leans {value} deg/g ({band})'
    if not math.isfinite(expected.gradient):
        return f"{text}; predicted is that it tips within the range of the drive."
    _, value, band = PREDICTED.row(found)
    known = f" ({band})" if band else ""
    return f"{text}; predicted {value} deg/g{known}: {_verdict(found)}."


def wide_words(found: RoadAnswer) -> str:
    """Why the interval is so wide, and what narrows it; empty where it is not."""
    return f"Why so wide: {found.test.wide}." if found.test.wide else ""


def _verdict(found: RoadAnswer) -> str:
    gradient, expected = found.test.line.gradient, found.predicted
    if agrees(found):
        if found.test.wide:
            return "its interval is too wide to tell whether they agree"
        return "they agree within their bands"
    share = gradient.value / expected.gradient - 1.0
    more = "more" if share > 0.0 else "less"
    return (
        f"it leans {abs(share):.0%} {more} than predicted, beyond both bands; check the state, "
        "then calibrate the least certain input"
    )


def beyond_words(found: RoadAnswer) -> str:
    """That the log goes beyond the rule of the test drive; empty where it does not.

    Nothing is said before the signs agree: a reversed column reads more than was driven.
    """
    if not found.test.signs_agree:
        return ""
    reach = found.test.range[1]
    if not reach > found.allowance.limit:
        return ""
    return (
        f"the log goes to {figure(reach, 'g')} g, beyond the {limit_words(found.allowance)} that "
        "the rule of the test drive allows this vehicle: do not repeat it"
    )


def columns_words(columns: tuple[Found, ...], mounting: Mounting | None = None) -> str:
    """Which columns were taken for what; those of a sensor with a `mounting` are its axes."""
    words = ROLE_WORDS if mounting is None else ROLE_WORDS | _OF_A_SENSOR
    said = (
        f'{words[one.role]} from "{one.column}" ({one.unit}{", guessed" if one.guessed else ""})'
        for one in columns
    )
    return f"Columns: {'; '.join(said)}."


def mounting_words(found: Mounting) -> str:
    """How the sensor sits in the vehicle, in one sentence."""
    said = []
    for where in ("forward", "left", "up"):
        axis, off = nearest_axis(getattr(found, where))
        said.append(f"{axis} {where} ({figure(off, 'deg', 0)} deg off)")
    how = "as stated, and level by gravity" if found.stated else "found from gravity and the bends"
    return f"Sensor: its {', '.join(said)}; {how}."


def correction_words(found: Calibration, units: ReaderUnits) -> str:
    """What was put right, with its interval."""
    low, high = found.value.interval
    if found.unknown is Unknown.CG_HEIGHT:
        unit = units.length
        text = (
            f"The CG height that agrees is {figure(found.value.value, unit)} {unit} "
            f"({figure(low, unit)} to {figure(high, unit)}, 95 %), stated "
            f"{figure(found.stated, unit)} {unit}."
        )
    else:
        unit = units.roll_stiffness
        text = (
            f"{found.unknown.value.capitalize()}: {figure(found.value.value, unit)} {unit} to be "
            f"added to what is stated ({figure(low, unit)} to {figure(high, unit)}, 95 %)."
        )
    return " ".join((text, *map(sentence, calibration_notes(found))))


def resized_words(found: Corrected, units: ReaderUnits) -> tuple[str, ...]:
    """What the correction does to the bar; of it nothing where there is none to be sized."""
    replaced = replaced_words(found.replaced)
    if not found.is_put_in:
        return *_doubts(found), *_choice(found, units)
    vaguer = [_VAGUER] if found.vaguer else []
    if found.sizing is None:
        return *replaced, *vaguer
    old, new = found.before.choice, found.sizing.choice
    lines = [*vaguer, *replaced, *_doubts(found), *_choice(found, units)]
    if found.sizing.target_is_unladen:
        now, then = (figure(one.target, "deg/g") for one in (found.sizing, found.before))
        lines.append(
            f"The target moves with the correction: unladen it leans {now} deg/g, {then} as stated."
        )
    if old is not None and new is not None and not found.stands:
        lines.append(f"Before the drive it was {bar_words(old, units)}.")
    if found.hole is not None:
        lines.append(
            f"Of the bar that was driven, the {figure(found.hole.lever, units.length)} "
            f"{units.length} hole comes nearest to the target: "
            f"{figure(found.hole.roll_gradient, 'deg/g')} deg/g."
        )
    return tuple(lines)


def _choice(found: Corrected, units: ReaderUnits) -> list[str]:
    """The bar sized again; where the one sized before stands, that one."""
    if not found.stands:
        return [choice_words(found.sizing, units)]
    old, new = found.before.choice, found.sizing.choice
    if same_bar(old, new):
        return [choice_words(found.sizing, units), "The choice is what it was before the drive."]
    other = "no bar" if new is None else bar_words(new, units)
    return [
        f"The bar stands: {bar_words(old, units)}. At the middle of the correction it would be "
        f"{other}, but within its interval the bar sized before is still the choice.",
        "The vehicle is left as it is and nothing is written: put in, the correction would order "
        "another bar, which this drive does not prove. More passes, or a fourth speed, may.",
    ]


def _doubts(found: Corrected) -> list[str]:
    """Why nothing is to be ordered by the correction yet."""
    doubts = []
    if found.far:
        doubts.append(
            "That is further from the stated height than both bands allow: check state, load and "
            "columns of the log, and weigh again."
        )
    if found.is_doubtful:
        doubts.append("ORDER NOTHING by the bar below before that is cleared; it is provisional.")
    return doubts


_OF_A_SENSOR = {
    Role.LATERAL: "acceleration along x, y and z",
    Role.ROLL_RATE: "rate of turn about x, y and z",
}
ROLE_WORDS = {
    Role.TIME: "time",
    Role.LATERAL: "lateral acceleration",
    Role.ROLL_RATE: "roll rate",
    Role.ROLL_ANGLE: "roll angle",
    Role.YAW_RATE: "yaw rate",
    Role.PITCH_RATE: "pitch rate",
    Role.LONGITUDINAL: "longitudinal acceleration",
    Role.VERTICAL: "vertical acceleration",
    Role.SPEED: "speed",
    Role.EAST: "position east, or longitude",
    Role.NORTH: "position north, or latitude",
}
