"""How is said how wheels stand after a lift, and which arms to order?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from rollsim.lift_check import SIDES, AngleVerdict, OneArm, WheelStand
from rollsim.lift_check.stand import AS_WANTED
from rollsim.lift_wording import TWO_UNITS, arm_length, degrees
from rollsim.mass import spoken
from rollsim.reader_units import ReaderUnits, figure, plain
from rollsim.sentences import sentence
from rollsim.units import to_unit

FINE = (AngleVerdict.TAKEN, AngleVerdict.AS_WANTED)
NOT_READ = "no camber was read, so there is none to be wanted"
NOT_WANTED = "give wanted_camber: how it stood unladen cannot be worked out"
ROUGH = (
    "the tape is too rough to judge it: with one reading off by its tolerance the linkage does not "
    "reach so far"
)
TOO_ROUGH = "the tape is too rough to tell"
NO_LINKAGE = (
    "its linkage is not taped (double_wishbone or strut, under alignment or roll_centre), or does "
    "not reach so far"
)
ALIGNMENT_CAUTION = (
    "Alignment: set and measured on a rack, by a licensed shop where codes ask for it. Joints and "
    "bushes without play first; the figures here leave out how bushes give way."
)


@dataclass(frozen=True, slots=True)
class WheelWords:
    """What is to be done about the wheels of an axle, and why, in rows: each a name and words.

    All without a full stop.
    """

    answer: str
    rows: tuple[tuple[str, str], ...]

    @property
    def lines(self) -> tuple[str, ...]:
        """The rows, a line each."""
        return tuple(f"{name}: {said}" for name, said in self.rows)

    @property
    def text(self) -> str:
        """All of it, in sentences without the last full stop."""
        return ". ".join((self.answer, *(sentence(line).removesuffix(".") for line in self.lines)))


def wheel_words(
    stand: WheelStand,
    units: ReaderUnits,
    *,
    before: WheelStand | None = None,
    set_once: bool = False,
) -> WheelWords:
    """What the wheels of an axle take in one state, what to order first.

    `before` is how they stood unladen, where that is told beside; `set_once`: arms that serve all
    states are told before, and those of this one are no order.
    """
    if before is None or abs(stand.ride_height_change - before.ride_height_change) <= TWO_UNITS:
        before = stand
    rows = (
        ("camber", _camber_words(stand, before)),
        ("with the arms", _along_with_arms(stand, units)),
        ("caster", _caster_words(stand, before)),
        ("toe", _toe_words(stand, before)),
        ("bump steer", _bump_steer_words(stand, units)),
        ("with the height", _along_with_height(stand, before, units)),
    )
    answer = _answer(stand, "alone it would take" if set_once else "order", units)
    return WheelWords(answer, tuple(row for row in rows if row[1]))


def _answer(stand: WheelStand, order: str, units: ReaderUnits) -> str:
    """What to order, or whether there is anything to order."""
    if math.isnan(stand.camber_change):
        return NO_LINKAGE
    said = {
        None: "camber not judged",
        AngleVerdict.TAKEN: "taken as wanted, so nothing to order",
        AngleVerdict.AS_WANTED: "no arms to order: the camber stands as wanted",
        AngleVerdict.ADJUSTERS: "no arms to order: the adjusters take the camber",
        AngleVerdict.UNKNOWN: "the camber is off, and what its adjusters take is not given",
        AngleVerdict.CLOSE: "too close to tell: set the camber on the rack before any arm is "
        "ordered",
    }.get(stand.verdict) or _order(stand, order, units)
    if stand.caster_verdict is AngleVerdict.PARTS:
        said += "; caster beyond its adjusters: arms or bushes that turn it"
    if stand.toe_verdict is not None and stand.toe_verdict not in FINE:
        said += "; set the toe anew"
    return said


def _order(stand: WheelStand, order: str, units: ReaderUnits) -> str:
    """The arms that take what is beyond the adjusters."""
    if math.isnan(stand.track_change):
        return "beyond the adjusters; which arm takes that, the linkage by tape would tell"
    longer = (stand.left_arm_longer, stand.right_arm_longer)
    verdicts = (stand.left_verdict, stand.right_verdict)
    if not any(map(math.isfinite, longer)):
        return "beyond the adjusters, and more than an arm of another length gives"
    sizes = [
        _longer(one, units) or "more than an arm gives" * (verdict is AngleVerdict.PARTS)
        for one, verdict in zip(longer, verdicts, strict=True)
    ]
    return f"{order} {_arms(longer, upper=stand.arm_is_upper)}, {_each(sizes)} at the ball joint"


def _arms(longer: Sequence[float], *, upper: bool) -> str:
    which = "upper" if upper else "lower"
    both = all(map(math.isfinite, longer))
    return f"adjustable {which} arms" if both else f"an adjustable {which} arm"


def one_arm_words(end: str, arm: OneArm, units: ReaderUnits) -> str:
    """Which arms of an axle serve every state, sentences."""
    longer = (arm.left_longer, arm.right_longer)
    within = plain(math.ceil(10.0 * math.degrees(arm.within) - 1e-6) / 10.0, 1)
    *first, last = map(spoken, arm.states)
    served = f"{', '.join(first)} and {last}"
    said = _each([_longer(one, units) for one in longer])
    if not said:
        told = (
            f"No arms to order for the {end} wheels: set once for {served}, the adjusters hold the "
            f"camber within {within}° of what is wanted."
        )
    else:
        told = (
            f"Order for the {end} wheels: {_arms(longer, upper=arm.upper)}, {said} at the ball "
            f"joint. Set once they serve {served}, camber within {within}° of what is wanted."
        )
    caster = " The caster is beyond its adjusters too: ask for arms or bushes that turn it."
    return told + caster * arm.caster_too


def _each(both: Sequence[str]) -> str:
    """What is said of the left and the right wheel, once where it is the same; empty: nothing."""
    if both[0] == both[1]:
        return both[0]
    return ", ".join(f"{side} {said}" for side, said in zip(SIDES, both, strict=True) if said)


def _longer(one: float, units: ReaderUnits) -> str:
    """How much longer or shorter an arm is; empty where there is none."""
    if math.isnan(one):
        return ""
    return f"{arm_length(abs(one), units)} {units.length} {'longer' if one > 0.0 else 'shorter'}"


def _bare(value: float, decimals: int = 1) -> str:
    return f"{plain(abs(float(to_unit(value, 'deg'))), decimals)}°"


def _fine(value: float) -> str:
    """As it is set: 0.75° is not 0.8°, and 0.2° needs no second decimal."""
    said = plain(float(to_unit(value, "deg")), 2)
    return f"{said.removesuffix('0')}°"


def _stands(stand: WheelStand, word: str, before: WheelStand) -> str:
    """An angle of both wheels as it stands, from how it stood unladen."""
    both = []
    for side in SIDES:
        was, now = (degrees(getattr(one, f"{side}_{word}")) for one in (before, stand))
        known = f"{side}_{word}" not in before.too_rough
        moved = known and was != now and math.isfinite(getattr(before, f"{side}_{word}"))
        both.append(f"{side} {was.removesuffix('°')} → {now}" if moved else f"{side} {now}")
    return ", ".join(both)


def _band(stand: WheelStand, word: str) -> str:
    band = getattr(stand, f"{word}_band")
    return f" (± {_bare(band)} by the tape)" if band > 0.0 else ""  # NaN says nothing


def _angle_words(stand: WheelStand, word: str, verdict: AngleVerdict, *, before: WheelStand) -> str:
    """An angle of both wheels as it stands, and how far off that is."""
    read = _stands(stand, word, before)
    if verdict in FINE:
        return f"{read}, {verdict.value}"
    offs = [f"{_bare(getattr(stand, f'{side}_{word}_off'))} off" for side in SIDES]
    wanted = degrees(getattr(stand, f"wanted_{word}")) + " as unladen" * (word in stand.as_unladen)
    if f"wanted_{word}" in stand.too_rough:
        wanted = "as unladen"
    return f"{read}; wanted {wanted}: {_each(offs)}{_band(stand, word)}"


def _camber_words(stand: WheelStand, before: WheelStand) -> str:
    if math.isnan(stand.camber_change):
        return ""
    if stand.verdict is None:
        return _not_judged(stand, before)
    off = _angle_words(stand, "camber", stand.verdict, before=before)
    if stand.verdict in FINE or stand.verdict is AngleVerdict.UNKNOWN:
        return off
    takes = f"{off}, the adjusters take {_fine(stand.adjusters)}"
    if stand.verdict is not AngleVerdict.PARTS:
        return takes
    sides = (
        (stand.left_camber_missing, stand.left_verdict),
        (stand.right_camber_missing, stand.right_verdict),
    )
    left = _each([_bare(one) * (verdict is AngleVerdict.PARTS) for one, verdict in sides])
    return f"{takes}, which leaves {left}"


def _not_judged(stand: WheelStand, before: WheelStand) -> str:
    """How a camber changes, or stands, where there is nothing to hold it against."""
    if math.isnan(stand.left_camber):
        return f"changes by {degrees(stand.camber_change)}{_band(stand, 'camber')}; {NOT_READ}"
    why = NOT_WANTED if math.isnan(stand.wanted_camber) else ROUGH
    return f"{_stands(stand, 'camber', before)}; {why}"


def _too_rough(stand: WheelStand, word: str) -> str:
    """Why an angle, or how far off it is, is not told; empty where it is."""
    band = getattr(stand, f"{word}_band")
    within = f" (± {_bare(band)})" if band > 0.0 else ""
    if f"{word}_change" in stand.too_rough or math.isnan(getattr(stand, f"left_{word}")):
        return f"{TOO_ROUGH}{within}" if f"{word}_change" in stand.too_rough else ""
    if f"left_{word}_off" in stand.too_rough:
        return f"{_stands(stand, word, stand)}; {TOO_ROUGH} how far off that is{within}"
    return ""


def _caster_words(stand: WheelStand, before: WheelStand) -> str:
    verdict = stand.caster_verdict
    if rough := _too_rough(stand, "caster"):
        return f"{rough}{'; read it on the rack' * (verdict not in FINE)}"
    if verdict is None:
        return ""
    off = _angle_words(stand, "caster", verdict, before=before)
    tipped = stand.pitch - before.pitch
    if abs(tipped) > AS_WANTED and verdict is not AngleVerdict.TAKEN:
        off += (
            f", {degrees(tipped)} of it as the body stands nose {'up' if tipped > 0.0 else 'down'}"
        )
    return {
        **dict.fromkeys(FINE, off),
        AngleVerdict.UNKNOWN: f"{off}, and what its adjusters take is not given",
        AngleVerdict.CLOSE: f"{off}, about what the adjusters take",
        AngleVerdict.PARTS: f"{off}, {_bare(stand.caster_missing)} beyond the adjusters",
    }.get(verdict, f"{off}, the adjusters take it")


def _toe_words(stand: WheelStand, before: WheelStand) -> str:
    verdict = stand.toe_verdict
    if rough := _too_rough(stand, "toe"):
        return f"{rough}{'; set it anew on the rack' * (verdict not in FINE)}"
    if verdict is None:
        return ""
    set_anew = ", to be set anew" * (verdict not in FINE)
    return _angle_words(stand, "toe", verdict, before=before) + set_anew


def _bump_steer_words(stand: WheelStand, units: ReaderUnits) -> str:
    """What 10 mm of bump do to the toe, or how much better the tie rod has to be taped."""
    if math.isnan(stand.bump_steer_band):
        return ""
    way = f"{figure(0.010, units.length, 1 if units.length == 'in' else 0)} {units.length}"
    if "bump_steer" in stand.too_rough:
        return (
            f"{TOO_ROUGH} (± {_bare(stand.bump_steer_band, 2)} for {way}): tape tie rod and arms "
            "closer, and state how well"
        )
    which = "in" if stand.bump_steer > 0.0 else "out"
    return (
        f"{way} of bump turn each wheel {_bare(stand.bump_steer, 2)} {which} "
        f"(± {_bare(stand.bump_steer_band, 2)})"
    )


def _along_with_arms(stand: WheelStand, units: ReaderUnits) -> str:
    """What the arms to order bring along; empty where there are none."""
    if math.isnan(stand.arm_track):
        return ""
    along = [
        _moved("track", ("grows", "shrinks"), [stand.arm_track] * 2, units),
        _moved("roll centre", ("rises", "falls"), [stand.arm_roll_centre] * 2, units),
        _moved(
            "scrub radius",
            ("grows", "shrinks"),
            [stand.left_arm_scrub, stand.right_arm_scrub],
            units,
        ),
        _toe_of_arms(stand),
    ]
    return ", ".join(one for one in along if one)


def _along_with_height(stand: WheelStand, before: WheelStand, units: ReaderUnits) -> str:
    """What the height itself changes on track, roll centre and scrub radius, from unladen."""
    changes = (
        ("track", ("grows", "shrinks"), stand.track_change - before.track_change),
        ("roll centre", ("rises", "falls"), stand.roll_centre_height - before.roll_centre_height),
        ("scrub radius", ("grows", "shrinks"), stand.scrub_radius - before.scrub_radius),
    )
    said = [_moved(what, ways, [by] * 2, units) for what, ways, by in changes]
    told = ", ".join(one for one in said if one)
    return f"{told}, from unladen" if told else ""


def _moved(what: str, ways: tuple[str, str], both: Sequence[float], units: ReaderUnits) -> str:
    """How far a length moves on both sides; empty where that rounds to nothing."""
    said = [
        f"{ways[one < 0.0]} by {figure(abs(one), units.length)} {units.length}"
        * (abs(one) > TWO_UNITS)  # compared with NaN, a side without an arm says nothing
        for one in both
    ]
    return f"{what} {_each(said)}" if any(said) else ""


def _toe_of_arms(stand: WheelStand) -> str:
    toes = [stand.left_arm_toe, stand.right_arm_toe]
    said = _each([degrees(one) * math.isfinite(one) for one in toes])
    told = f" ({said})" * bool(said)
    return f"toe changes{told}: set it anew and see that the thread of the tie rods reaches"
