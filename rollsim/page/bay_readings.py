"""The tests in the bay: what each tells, how it is done, and its readings in their order.

The printed sheet and the form on the page are both made from this, so that their names agree.
"""

from dataclasses import dataclass
from enum import Enum

from rollsim.bar import BUSH_RATES, LINK_RATES
from rollsim.measured.branch import Branch
from rollsim.measured.frame_twist import Blocks
from rollsim.tell.names import WHEELS


class Kind(Enum):
    """What a reading measures."""

    MASS = "mass"
    LENGTH = "length"
    ANGLE = "angle"
    RATIO = "ratio"


@dataclass(frozen=True, slots=True)
class Reading:
    """One blank of the sheet, one field of the page."""

    key: str
    label: str
    kind: Kind
    needed: bool = True


@dataclass(frozen=True, slots=True)
class Choice:
    """One of several, ticked on the sheet and chosen on the page."""

    key: str
    label: str
    options: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BayTest:
    """A test in the bay: what it tells, how it is done, and what is asked for, as on the sheet.

    `safety` is what nobody may leave out.
    """

    key: str
    title: str
    gives: str
    safety: tuple[str, ...]
    steps: tuple[str, ...]
    choices: tuple[Choice, ...]
    readings: tuple[Reading, ...]


GROUND = (
    "Level pads under all four wheels, tyres at their pressure, fuel and load as in use or noted.",
    "Bounce every corner and roll it free before the first reading.",
)
CHOCKS = "Chock the wheels. Never go under a vehicle that a jack alone holds: put stands under it."
REAR, FRONT = "rear", "front"
RIGID, AS_IT_IS = "rigid", "not looked at"
WEIGHED, PUT_ON = "read on scales under its wheels", "weighed before and put on"
ANGLE, ARCHES = "inclinometer: angle", "tape: left arch less right arch"

_MASS, _LENGTH, _ANGLE = Kind.MASS, Kind.LENGTH, Kind.ANGLE
LIFTS = 3
AXLE_LIFT = BayTest(
    "axle_lift",
    "CG height: lift one axle",
    "The height of the whole vehicle's centre of gravity, as it stood.",
    (
        "Only with lifting gear rated for it, at the maker's lifting points; stands or blocks "
        "under the lifted wheels before anybody comes near. Never under a vehicle that a jack "
        "alone holds.",
        "The wheels on the scales must be free to roll a little: brakes off, neutral. So put "
        "wheel chocks a hand's breadth before and behind them, and keep everybody out of the way "
        "it could roll.",
    ),
    (
        *GROUND,
        "Block the suspension at this height: rigid struts in place of the dampers, or blocks "
        "between axle and body. A body that pitches on its springs spoils the reading.",
        "Level: read both axle masses, tape the wheelbase and each wheel centre's height.",
        "Lift one axle, the other on the scales, well above 15 deg. Two or three lifts, different "
        "heights. Read how far the lifted wheel centres rose, and the mass on the other axle.",
    ),
    (Choice("end", "Axle that is lifted", (REAR, FRONT)),),
    (
        Reading("wheelbase", "Wheelbase", _LENGTH),
        Reading("front_mass", "Front axle, level", _MASS),
        Reading("rear_mass", "Rear axle, level", _MASS),
        Reading("front_radius", "Front wheel centres above ground", _LENGTH),
        Reading("rear_radius", "Rear wheel centres above ground", _LENGTH),
        Reading("mass_error", "Scales read to ±", _MASS, needed=False),
        *(
            reading
            for n in range(1, LIFTS + 1)
            for reading in (
                Reading(f"lift_{n}", f"Lift {n}: rise of the wheel centres", _LENGTH, n == 1),
                Reading(f"raised_{n}", f"Lift {n}: mass on the other axle", _MASS, n == 1),
            )
        ),
        Reading("height_error", "Lift read to ±", _LENGTH, needed=False),
    ),
)
LOADING, UNLOADING = 4, 3
FEWEST = 2  # steps of loading that a rate needs, swings that a damping ratio needs


def _step(way: str, n: int) -> tuple[Reading, Reading]:
    needed = way == "Loading" and n <= FEWEST
    return (
        Reading(f"{way.lower()}_{n}", f"{way} {n}: mass added", _MASS, needed),
        Reading(f"{way.lower()}_arch_{n}", f"{way} {n}: hub to arch", _LENGTH, needed),
    )


LOAD_TEST = BayTest(
    "load_test",
    "Wheel rate and friction: load test",
    "The rate of one side of an axle at the wheel, and what the springs rub.",
    (
        CHOCKS,
        "Stay within the axle's rating and the tyres' rated load; nobody on the load or under it.",
    ),
    (
        *GROUND,
        "Put masses on over the axle in steps, then take them off in steps. Do not bounce in "
        "between: what the two ways differ by is friction.",
        "At each step read the mass added on this axle, both sides together, and tape from hub to "
        "arch, mean of left and right. Stay within one stage: stop where helper leaves touch.",
    ),
    (
        Choice("axle", "Axle", (REAR, FRONT)),
        Choice("weighed", "Masses", (WEIGHED, PUT_ON)),
    ),
    tuple(
        reading
        for way, count in (("Loading", LOADING), ("Unloading", UNLOADING))
        for n in range(1, count + 1)
        for reading in _step(way, n)
    ),
)
LEANS = (  # where the masses stand in parts of half way and all the way out, right positive
    ("right, half way", (1, 0), Branch.RISING),
    ("right, all the way", (0, 1), Branch.RISING),
    ("back to half way right", (1, 0), Branch.FALLING),
    ("middle", (0, 0), Branch.FALLING),
    ("left, half way", (-1, 0), Branch.FALLING),
    ("left, all the way", (0, -1), Branch.FALLING),
    ("back to half way left", (-1, 0), Branch.RISING),
    ("middle again", (0, 0), Branch.RISING),
)
LEAN_TEST = BayTest(
    "lean_test",
    "Roll stiffness and friction: lean test",
    "How hard the vehicle holds against lean, and how much lean friction holds; it can put right "
    "one input of the scenario.",
    (
        CHOCKS,
        "People move slowly, hold on, and nobody stands beside or under the vehicle; stay within "
        "every rating.",
    ),
    (
        *GROUND,
        "Known masses or people stay on board all through and move from side to side on marks, "
        "the same distances left and right.",
        "Read the lean at each place in this order without bouncing in between. To the right is "
        "positive: an inclinometer in the cab, or both front arches from the ground with a tape. "
        "The tray of a frame that twists leans by another angle.",
    ),
    (Choice("read_by", "Lean read by", (ANGLE, ARCHES)),),
    (
        Reading("moved", "Mass that is moved", _MASS),
        Reading("half", "Half way, from the middle", _LENGTH),
        Reading("full", "All the way, from the middle", _LENGTH),
        Reading("apart", "Arches: left to right, where they are read", _LENGTH, needed=False),
        *(
            Reading(f"lean_{n}", f"Lean {n}: {where}", _ANGLE, needed=False)
            for n, (where, _, _) in enumerate(LEANS, 1)
        ),
        Reading("behind", "Mass, behind the front axle", _LENGTH, needed=False),
        Reading("height", "Mass, its height above ground", _LENGTH, needed=False),
    ),
)
BAR = BayTest(
    "bar",
    "Anti-roll bar: vernier and tape",
    "The stiffness at the link (link-end rate) of a straight U bar that is on it.",
    (CHOCKS,),
    (
        "Vernier on bare metal, at three places: the stiffness goes with the fourth power of the "
        "diameter, and paint adds 0.2 to 0.3 mm.",
        "Arm length is square to the centre section, from its middle line to the link hole; bush "
        "spacing from middle to middle; splay from square, outward positive.",
        "Independent: move one wheel by a jack stand's height and tape how far the link went.",
    ),
    (
        Choice("axle", "Axle", (FRONT, REAR)),
        Choice("bush_rate", "Bushes", (AS_IT_IS, RIGID, *BUSH_RATES)),
        Choice("link_rate", "Links", (AS_IT_IS, RIGID, *LINK_RATES)),
    ),
    (
        Reading("diameter", "Diameter", _LENGTH),
        Reading("bore", "Bore, of a tube", _LENGTH, needed=False),
        Reading("lever", "Arm length, square", _LENGTH),
        Reading("centre", "Centre section, bend to bend", _LENGTH),
        Reading("bushes", "Bush to bush", _LENGTH),
        Reading("splay", "Splay of the arms", _ANGLE, needed=False),
        Reading("links", "Link to link, in place of the splay", _LENGTH, needed=False),
        Reading("ratio", "Independent: link travel per wheel travel", Kind.RATIO, needed=False),
    ),
)
RUNS, SWINGS = 2, 4
BOUNCE = BayTest(
    "bounce",
    "Shock absorbers: bounce test",
    "The damping ratio in roll: how far a swerve throws it past its steady lean.",
    (
        CHOCKS,
        "Push from the side, feet clear of the wheels; nobody in, on or under it while it swings.",
    ),
    (
        *GROUND,
        "Two people push one side down at the sill or the roof rail, in time with it, hold it "
        "down and let go. Then hands off.",
        "Film a tape at the sill, or count by eye: how far from where it was let go to its "
        "highest, from there to its lowest, and so on until it no longer moves. Twice at least.",
        "Push far: springs that rub hold small swings, and make them seem better than they are. "
        "Leave out swings below a tenth of the first.",
    ),
    (),
    (
        *(
            Reading(
                f"swing_{run}_{n}",
                f"Run {run}: swing {n}, turn to turn",
                _LENGTH,
                run == 1 and n <= FEWEST,
            )
            for run in range(1, RUNS + 1)
            for n in range(1, SWINGS + 1)
        ),
        Reading("swing_error", "Swings read to ±", _LENGTH, needed=False),
    ),
)
CORNERS = tuple(wheel.replace(" ", "_") for wheel in WHEELS)
CORNER_WEIGHTS = BayTest(
    "corner_weights",
    "Corner weights: four scales",
    "Axle masses, cross weight, and where the centre of gravity is in plan.",
    (CHOCKS,),
    (
        *GROUND,
        "Four scales, all on one level: 3 mm out of level shift weight from one diagonal to the "
        "other.",
        "Note who sits in it, the fuel, and what is on it: the scenario's ride heights count from "
        "this.",
    ),
    (),
    (
        *(Reading(corner, corner.replace("_", " ").capitalize(), _MASS) for corner in CORNERS),
        Reading("corner_error", "Scales read to ±", _MASS, needed=False),
    ),
)
WAYS = ("first", "second")
FRAME_TWIST = BayTest(
    "frame_twist",
    "Frame: twist test",
    "How stiff the frame is against twist from axle to axle, and how much of its twist the cab "
    "takes: what a rear bar loses on the way to the driver.",
    (
        CHOCKS,
        "Blocks wider than the tyre, on the scales, that cannot tip or slide; up by ramps. Brakes "
        "off for the readings: chocks a hand's breadth before and behind each wheel.",
        "Nobody in, on or under it on the blocks; watch brake hoses, shafts and the exhaust.",
    ),
    (
        *GROUND,
        "First way: equal blocks of 100 mm to 150 mm under front left and rear right, scales under "
        "all four wheels. Second way: under front right and rear left. Take the blocks' own mass "
        "off.",
        "Each way: rock it into its place; read the scales, and a level across the frame over each "
        "axle and across both sills of the cab. Right side down is positive.",
        "A level that shows 0.1 deg or finer, in the same places and the same way round both "
        "times: its own zero, and a cab that sits askew, then fall out.",
        "Look at the stops: lower blocks if one touches. One block alone, under a rear wheel, "
        "serves for a soft frame only.",
    ),
    (Choice("blocks", "Blocks under", tuple(one.value for one in Blocks)),),
    (
        Reading("block", "Height of the blocks", _LENGTH),
        *(
            reading
            for way in WAYS
            for reading in (
                *(
                    Reading(
                        f"{way}_{corner}",
                        f"{way.capitalize()} way: {corner.replace('_', ' ')}",
                        _MASS,
                    )
                    for corner in CORNERS
                ),
                Reading(f"{way}_front", f"{way.capitalize()} way: front level", _ANGLE),
                Reading(f"{way}_rear", f"{way.capitalize()} way: rear level", _ANGLE),
                Reading(f"{way}_cab", f"{way.capitalize()} way: cab's level", _ANGLE, False),
            )
        ),
        Reading("level_error", "Level reads to ±", _ANGLE, needed=False),
        Reading("scale_error", "Scales read to ±", _MASS, needed=False),
    ),
)
BEFORE_AFTER = BayTest(
    "before_after",
    "A load item: weigh before and after",
    "What a thing weighs on this vehicle and where: along from the axles, across from the corners.",
    (CHOCKS,),
    (
        *GROUND,
        "Four scales, all on one level. Read without the item, put it on, bounce, read again.",
        "Scales cannot tell how high it is: tape from the ground to its middle.",
    ),
    (),
    (
        *(
            Reading(f"{when}_{corner}", f"{word}: {corner.replace('_', ' ')}", _MASS)
            for when, word in (("before", "Without it"), ("after", "With it"))
            for corner in CORNERS
        ),
        Reading("item_height", "Its middle above ground", _LENGTH),
        Reading("item_error", "Scales read to ±", _MASS, needed=False),
    ),
)
TESTS = (
    *(CORNER_WEIGHTS, AXLE_LIFT, LOAD_TEST, LEAN_TEST, BOUNCE, FRAME_TWIST, BAR),
    BEFORE_AFTER,
)
