"""Wheels and dampers by rack and tape: a sheet and a form for each, and the keys they give."""

from rollsim.page.bay_figures import Changes, Readings, amount, gone
from rollsim.page.bay_readings import CHOCKS, FRONT, GROUND, REAR, BayTest, Choice, Kind, Reading
from rollsim.page.bay_roll_centre import STRUT, WISHBONES
from rollsim.reader_units import ReaderUnits
from rollsim.vehicle import Axle, Suspension

_POINTS = {  # of the file, by the key that the roll centre's sheet has
    WISHBONES.key: {
        "upper_pivot": "upper_pivot",
        "upper_joint": "upper_ball_joint",
        "lower_pivot": "lower_pivot",
        "lower_joint": "lower_ball_joint",
    },
    STRUT.key: {
        "top": "top_mount",
        "tube": "tube",
        "lower_pivot": "lower_pivot",
        "lower_joint": "lower_ball_joint",
    },
}
_AXIS = ("front", "rear", "apart")
_ROD = ("inner_across", "inner_height", "outer_across", "outer_height", "inner", "outer")
DAMPER = BayTest(
    "damper",
    "Damper: how far it reaches",
    "Whether it closes before the bump stop works, or opens before full droop, loaded, lifted and "
    "at full twist; which length is needed.",
    (CHOCKS,),
    (
        *GROUND,
        "On the vehicle at this height: from eye to eye along the damper, and straight up from the "
        "lower eye's height to the upper one's.",
        "Off the vehicle, or by its maker: from eye to eye pulled out and pushed in.",
        "Solid axle: lower eye to lower eye, left to right. Independent: move one wheel by a jack "
        "stand's height and tape how far the lower eye went up.",
        "Where springs of a known free height may go in: coil from seat to seat, leaf pack from "
        "the line through its eyes down to the main leaf on the axle.",
    ),
    (Choice("axle", "Axle", (REAR, FRONT)),),
    (
        Reading("open_length", "Pulled out, eye to eye", Kind.LENGTH),
        Reading("closed_length", "Pushed in, eye to eye", Kind.LENGTH),
        Reading("length", "On the vehicle, eye to eye", Kind.LENGTH),
        Reading("mount_height", "Upper eye above the lower one", Kind.LENGTH),
        Reading("base", "Solid axle: left lower eye to right", Kind.LENGTH, needed=False),
        Reading("motion_ratio", "Independent: lower eye per wheel travel", Kind.RATIO, False),
        Reading("spring_height", "Spring as it stands", Kind.LENGTH, needed=False),
    ),
)


def _axis(which: str) -> tuple[Reading, ...]:
    words = ("front bush above ground", "rear bush above ground", "bush to bush, along")
    return tuple(
        Reading(f"{which}_{end}", f"{which.capitalize()} arm: {said}", Kind.LENGTH, needed=False)
        for end, said in zip(_AXIS, words, strict=True)
    )


_READ = ("before the work", "after it")
ALIGNMENT = BayTest(
    "alignment",
    "Alignment: rack, and the arms by tape",
    "What a lift and a load do to camber, caster and toe, whether the adjusters take it, and which "
    "arm takes the rest. The linkage itself: sheet of the roll centre.",
    (CHOCKS,),
    (
        *GROUND,
        "Play out of joints and bushes first: no figure holds with it.",
        "Rack: top out, top of the steering axis back and front in are positive; toe of each wheel "
        "for itself.",
        "Adjusters: what is left from where they stand, to either side.",
        "Arms from the side: middles of both bushes. Tie rod: middles of its joints, and how far "
        "each is ahead of the lower ball joint, behind it with a minus.",
    ),
    (
        Choice("axle", "Axle", (FRONT, REAR)),
        Choice("read", "Rack", _READ),
        Choice("adjusted_pivot", "A cam or slot moves", ("no pivot", "upper", "lower")),
    ),
    (
        *(
            Reading(f"{word}_{side}", f"{word.capitalize()}, {side}", Kind.ANGLE, word == "camber")
            for word in ("camber", "caster", "toe")
            for side in ("left", "right")
        ),
        *(
            Reading(f"wanted_{word}", f"Wanted {word}", Kind.ANGLE, needed=False)
            for word in ("camber", "caster", "toe")
        ),
        Reading("camber_adjustment", "Adjusters take, camber", Kind.ANGLE, needed=False),
        Reading("pivot_adjustment", "Or that pivot's way, in or out", Kind.LENGTH, needed=False),
        Reading("caster_adjustment", "Adjusters take, caster", Kind.ANGLE, needed=False),
        *_axis("upper"),
        *_axis("lower"),
        *(
            Reading(f"rod_{key}", f"Tie rod: {words}", Kind.LENGTH, needed=False)
            for key, words in zip(
                _ROD,
                (
                    *("inner joint from the middle", "inner joint above ground"),
                    *("outer joint from the middle", "outer joint above ground"),
                    *("inner joint ahead", "outer joint ahead"),
                ),
                strict=True,
            )
        ),
    ),
)
_SHACKLE_AT, _MID = ("rear", "front"), ("not looked at", "gaps", "touching")
_PLACES = (
    *("fixed_eye_height", "shackle_eye_height", "seat_height"),
    *("fixed_eye_to_axle", "axle_to_shackle_eye", "shackle_length"),
)
LEAVES = BayTest(
    "leaf_and_shackle",
    "Leaf spring: arch and shackle",
    "How the pack stands loaded and empty, and whether it carries too little or too much.",
    (CHOCKS,),
    (
        *GROUND,
        "Middles of the eyes, at the shackle the spring's own; the middle of the main leaf over "
        "the axle. All heights from one level floor.",
        "Shackle: a level on it, less that of the frame; square to the frame is 0, its lower end "
        "away from the fixed eye is positive. Without a level: where its bolt on the frame is.",
        "Look half way from seat to eye: do the leaves touch there?",
    ),
    (
        Choice("axle", "Axle", (REAR, FRONT)),
        Choice("shackle_end", "Shackle at its", _SHACKLE_AT),
        Choice("leaves_at_mid_length", "Leaves at mid-length", _MID),
    ),
    (
        Reading("fixed_eye_height", "Fixed eye above ground", Kind.LENGTH),
        Reading("shackle_eye_height", "Spring's eye at the shackle, above ground", Kind.LENGTH),
        Reading("seat_height", "Main leaf over the axle, above ground", Kind.LENGTH),
        Reading("fixed_eye_to_axle", "Fixed eye to axle, along", Kind.LENGTH),
        Reading("axle_to_shackle_eye", "Axle to the shackle's eye, along", Kind.LENGTH),
        Reading("shackle_length", "Shackle, bolt to bolt", Kind.LENGTH),
        Reading("shackle_angle", "Shackle from square to the frame", Kind.ANGLE, needed=False),
        Reading("hanger_height", "Or its bolt on the frame, above ground", Kind.LENGTH, False),
        Reading("axle_to_hanger", "Axle to that bolt, along", Kind.LENGTH, needed=False),
        Reading("eye_offset", "Half the eye and half the main leaf", Kind.LENGTH, needed=False),
    ),
)
LIFT_TESTS = (DAMPER, ALIGNMENT, LEAVES)


def unfit(test: BayTest, axle: Axle) -> bool:
    """Whether a test cannot be of an axle: its camber moves, or it has leaf springs."""
    solid = axle.suspension is Suspension.SOLID_AXLE
    return (test is ALIGNMENT and solid) or (test is LEAVES and not solid)


def damper_changes(
    readings: Readings, chosen: str, axle: Axle, units: ReaderUnits, *, text: str
) -> Changes:
    """The damper's keys, in place of those that the axle has."""
    key, solid = f"{chosen}.damper", axle.suspension is Suspension.SOLID_AXLE
    lengths = ["open_length", "closed_length", "length", "mount_height", *["base"] * solid]
    found: Changes = {
        f"{key}.{name}": amount(readings[name], units.length)
        for name in lengths
        if readings[name] is not None
    }
    if not solid and readings["motion_ratio"] is not None:
        found[f"{key}.motion_ratio"] = readings["motion_ratio"]
    if readings["spring_height"] is not None and not gone(text, f"{chosen}.leaf_and_shackle"):
        found[f"{chosen}.spring_height"] = amount(readings["spring_height"], units.length)
    other = "motion_ratio" if solid else "base"
    return {**found, **gone(text, f"{key}.{other}")}


def leaf_changes(
    readings: Readings, chosen: dict[str, str], units: ReaderUnits, *, text: str
) -> Changes:
    """The leaf spring's keys; the shackle's angle as it was measured, else from the tape."""
    key, length = f"{chosen['axle']}.leaf_and_shackle", units.length
    measured = readings["shackle_angle"] is not None
    by_tape = ("hanger_height", "axle_to_hanger")
    names = (*_PLACES, "eye_offset", *(() if measured else by_tape))
    found: Changes = {
        f"{key}.{name}": amount(readings[name], length)
        for name in names
        if readings[name] is not None
    }
    if measured:
        found[f"{key}.shackle_angle"] = amount(readings["shackle_angle"], "deg", 1)
    for name in by_tape if measured else ("shackle_angle",):
        found |= gone(text, f"{key}.{name}")
    found |= gone(text, f"{chosen['axle']}.spring_height")  # these places say it
    found[f"{key}.shackle_end"] = chosen["shackle_end"]
    if chosen["leaves_at_mid_length"] != _MID[0]:
        found[f"{key}.leaves_at_mid_length"] = chosen["leaves_at_mid_length"]
    return found


def alignment_changes(
    readings: Readings, chosen: dict[str, str], units: ReaderUnits, *, text: str
) -> Changes:
    """The keys of the readings that are complete, of the rack before the work or after it."""
    key, length = f"{chosen['axle']}.alignment", units.length
    rack = f"{key}.readings_after" if chosen["read"] == _READ[1] else key

    def several(names: tuple[str, ...], unit: str) -> list[str] | None:
        values = [readings[name] for name in names]
        return None if None in values else [amount(one, unit) for one in values]

    found: Changes = {
        f"{rack}.{word}": several((f"{word}_left", f"{word}_right"), "deg")
        for word in ("camber", "caster", "toe")
    }
    single = ("camber_adjustment", "caster_adjustment", "wanted_camber", "wanted_caster")
    for name in (*single, "wanted_toe"):
        one = several((name,), "deg")
        found[f"{key}.{name}"] = None if one is None else one[0]
    for which in ("upper", "lower"):
        names = tuple(f"{which}_{end}" for end in _AXIS)
        found[f"{key}.{which}_axis"] = several(names, length)
    rod = several(tuple(f"rod_{name}" for name in _ROD), length)
    if rod is not None:
        found |= {
            f"{key}.tie_rod.inner_joint": rod[0:2],
            f"{key}.tie_rod.outer_joint": rod[2:4],
            f"{key}.tie_rod.inner_ahead": rod[4],
            f"{key}.tie_rod.outer_ahead": rod[5],
        }
    found = {name: one for name, one in found.items() if one is not None}
    pivot, way = chosen["adjusted_pivot"], readings["pivot_adjustment"]
    if way is None or pivot not in ("upper", "lower"):
        return found
    found[f"{key}.pivot_adjustment"] = amount(way, length)
    found[f"{key}.adjusted_pivot"] = pivot
    return {**found, **gone(text, f"{key}.camber_adjustment")}


def linkage_changes(
    test: BayTest, readings: Readings, chosen: str, units: ReaderUnits, *, text: str
) -> Changes:
    """The points of a wishbone or strut, so that its wheel can be moved; none of other linkages."""
    points = _POINTS.get(test.key)
    if points is None:
        return {}
    key = f"{chosen}.alignment"
    (other,) = (kind for kind in _POINTS if kind != test.key)
    found: Changes = {
        f"{key}.{test.key}.{name}": [
            amount(readings[f"{own}_{part}"], units.length) for part in ("across", "height")
        ]
        for own, name in points.items()
    }
    return {**found, **gone(text, f"{key}.{other}")}
