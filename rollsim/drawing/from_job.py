"""From a point of a curve to a picture: where are body, axle and wheels in that bend?"""

from rollsim import mass
from rollsim.bar import Mount, RearBar
from rollsim.drawing.records import BarInPlace, Cargo, Pose, RearAxle, RearView, roof_height
from rollsim.mass import State
from rollsim.roll import CurvePoint, StateResult
from rollsim.vehicle import STANDARD_GRAVITY, Axle, Job, Place, Suspension

REAR = 1
HEAVIEST_WHEEL_SHARE = 0.5  # of the weight, for the length of the arrows only
HEAD_ROOM = 0.3  # m
USUAL_LINK_SPACING, USUAL_BUSH_SPACING = 0.64, 0.50  # times track, where only a rate is known
USUAL_LINK = 0.18  # m


def body_pose(
    job: Job, state: State, point: CurvePoint, *, axle: int = REAR, tray: bool = False
) -> Pose:
    """Where the body over one axle is.

    `axle` is 0 front, 1 rear. The pivot of the pose is the roll centre as weighed [m]. It leans as
    the cab does; `tray`: as the rear end, which is another angle where the frame twists.

    Notes
    -----
    The pin stands L = h + ρ s above the road along the axle's centreline, the body's point
    (1 − ρ) s above the pin along the body's (docs/method.md §1). Its height is the mean rise of the
    arches; s is taken as the mean spring travel, which differs by less than 1 mm.
    """
    own = (job.vehicle.front, job.vehicle.rear)[axle]
    ratio, height = own.roll_centre_travel_ratio, own.roll_centre_height
    travel = _mean(point.spring_travel, axle)
    pin = height + mass.raised(job, state) + ratio * travel
    along_axle = Pose(point.axle_roll[axle]).at(0.0, pin)[0]
    lean = point.tray_roll_angle if tray else point.roll_angle
    along_body = Pose(lean).at(0.0, (1.0 - ratio) * travel)[0]
    rise = _mean(point.arch_rise, axle)
    return Pose(lean, height, along_axle + along_body, rise)


def rear_axle(
    job: Job, state: State, point: CurvePoint, *, bar: BarInPlace | None = None
) -> RearAxle:
    """The rear axle at a point of a curve [m].

    A `bar` stands in for the one on the vehicle.

    Notes
    -----
    The wheel centre is taken at the height of the unsprung CG. A tyre is longer by its as-weighed
    load / vertical rate when it carries nothing; larger tyres since then add to its radius.
    """
    rear = mass.axles(job, state)[REAR]
    load = 0.5 * STANDARD_GRAVITY * job.vehicle.rear_axle_mass
    free = rear.unsprung_cg_height + load / rear.tyre.vertical_rate + mass.raised(job, state)
    own = _own_bar(rear) if rear.bar_roll_stiffness > 0.0 else None
    return RearAxle(
        suspension=rear.suspension,
        pose=Pose(point.axle_roll[REAR], rise=point.axle_rise[REAR]),
        track=rear.track + 2.0 * point.wheels_out[REAR],
        spring_base=rear.spring_base,
        wheel_centre_height=rear.unsprung_cg_height,
        free_radius=free,
        bar=bar or own,
    )


def centre_of_gravity(job: Job, state: State, point: CurvePoint) -> tuple[float, float]:
    """Where the CG of the whole vehicle is, without a bar to be fitted.

    Right of the middle, above the road [m].

    Notes
    -----
    First moments of sprung and unsprung masses; the height of the sprung CG is its heave.
    """
    sprung = mass.sprung_mass(job, state)
    made = mass.raised(job, state)
    rear = sprung.behind_front_axle / job.vehicle.wheelbase
    right = 0.0
    for axle, share in ((0, 1.0 - rear), (1, rear)):
        pose = body_pose(job, state, point, axle=axle, tray=axle == REAR)
        right += share * pose.at(-sprung.left, sprung.height - made)[0]
    moments = [sprung.mass, sprung.mass * right, sprung.mass * (sprung.height - made + point.heave)]
    for axle, own in enumerate((job.vehicle.front, job.vehicle.rear)):
        pose = Pose(point.axle_roll[axle], rise=point.axle_rise[axle])
        x, y = pose.at(0.0, own.unsprung_cg_height)
        m = own.unsprung_mass
        moments = [a + b for a, b in zip(moments, (m, m * x, m * y), strict=True)]
    total, x, y = moments
    return x / total, y / total


def bar_in_place(bar: RearBar, hole: int) -> BarInPlace:
    """A bar to be fitted, as it sits under the vehicle [m].

    `hole` is the position of the shape. Where the link's length is not known, it is a usual one.
    """
    link = bar.installation.link_length or USUAL_LINK
    spacing = 2.0 * bar.shapes[hole].half_centreline[-1][1]
    return BarInPlace(bar.mount is Mount.AXLE, bar.bush_spacing, spacing, link)


def rear_view_of(
    job: Job,
    state: State,
    point: CurvePoint,
    *,
    title: str,
    bend: str,
    bar: BarInPlace | None = None,
    ghost: Pose | None = None,
    missing: str = "",
    force_unit: str = "N",
) -> RearView:
    """A state at a point of its curve as a picture from behind.

    In SI; arrows and heights are on the same scale for every state of a job. `bend` is "left" or
    "right"; in a right one the point has its signs and sides already turned back. A `bar` stands in
    for the rear bar on the vehicle; `ghost` is the body to compare with, from `body_pose`, None:
    upright as weighed. `missing` says why there is no equilibrium; the point is then where the
    vehicle last stood.
    """
    rear = job.vehicle.rear
    pin = rear.roll_centre_height + mass.raised(job, state)
    pin += rear.roll_centre_travel_ratio * _mean(point.spring_travel, REAR)
    # The pin's own rise is without the larger tyre, which the axle's rise has in it already.
    centre = Pose(point.axle_roll[REAR], rise=point.axle_rise[REAR] - mass.raised(job, state))
    roof = drawn_roof(job)
    return RearView(
        title=title,
        bend=bend,
        body=body_pose(job, state, point),
        axle=rear_axle(job, state, point, bar=bar),
        wheel_loads=point.wheel_loads,
        full_load=_heaviest(job) * STANDARD_GRAVITY * HEAVIEST_WHEEL_SHARE,
        roof_height=roof,
        cg=centre_of_gravity(job, state, point),
        roll_centre=centre.at(0.0, pin),
        height_shown=max([roof, *(load.height for load in job.loads)]) + HEAD_ROOM,
        vehicle_class=job.vehicle.vehicle_class,
        cargo=tuple(Cargo(o.left_of_centreline, o.height, o.mass) for o in state.loads),
        ghost=ghost,
        missing=missing,
        force_unit=force_unit,
        tray=(
            None
            if point.tray_roll_angle == point.roll_angle
            else body_pose(job, state, point, tray=True)
        ),
    )


def _mean(corners: tuple[float, float, float, float], axle: int) -> float:
    return (corners[2 * axle] + corners[2 * axle + 1]) / 2.0


def _own_bar(rear: Axle) -> BarInPlace:
    """Where only the rate of the bar on the vehicle is known, it sits in a usual place."""
    if (known := rear.bar_place) is not None:
        return BarInPlace(known.on_axle, known.bush_spacing, known.link_spacing, USUAL_LINK)
    on_axle = rear.suspension is Suspension.SOLID_AXLE
    bushes, links = USUAL_BUSH_SPACING * rear.track, USUAL_LINK_SPACING * rear.track
    return BarInPlace(on_axle, bushes, links, USUAL_LINK)


def _heaviest(job: Job) -> float:
    """Mass of the heaviest state [kg]."""
    axles = job.vehicle.front.unsprung_mass + job.vehicle.rear.unsprung_mass
    return axles + max(mass.sprung_mass(job, state).mass for state in mass.states(job))


def drawn_roof(job: Job) -> float:
    """Height of the roof in a picture, above ground as weighed [m]."""
    on_roof = [load.height for load in job.loads if load.place is Place.ROOF]
    return roof_height(job.vehicle.cg_height, on_roof, job.vehicle.roof_height)


def standing_still(result: StateResult) -> CurvePoint:
    """What to draw where no point of the curve was found."""
    four, two = (0.0, 0.0, 0.0, 0.0), (0.0, 0.0)
    return CurvePoint(0.0, result.static_lean, 0.0, four, four, four, two, two, 0.0, two)
