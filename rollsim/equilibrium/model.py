"""The numbers one equilibrium needs, for many vehicles at once: arrays only.

Every array ends in the batch axis N. Axle arrays are (2, N), front before rear; stops are
(2, 2, N), bump stop before rebound limit; hinges of the springs are (J, 2, N).
"""

from dataclasses import dataclass, fields, replace
from functools import cached_property
from operator import attrgetter

import numpy as np

STANDARD_GRAVITY = 9.80665
SIDES = np.array([1.0, -1.0])[:, None, None]  # left, right
ENDS = np.array([-1.0, 1.0])[:, None]  # from the front end to the rear one
STOPS = np.array([-1.0, 1.0])[:, None, None]  # sense of extension: bump stop, rebound limit


@dataclass(frozen=True, slots=True)
class Constants:
    """What `balance` needs of a model again and again, worked out once; shapes as in `Model`.

    Parameters
    ----------
    sprung, axle, body, pin : (2, N) arrays
        Sprung mass on each axle, whole mass on it, and the parts of the sprung mass that rise with
        the body and with the roll-centre pin [kg].
    sigma : (2, N) array
        1 − roll-centre travel ratio [-].
    above, below : (2, N) arrays
        First moments at zero travel of the sprung mass above each pin, which leans with that end
        of the body, and of all that stands below it [kg·m].
    offset : (2, N) array
        First moment left of the centreline of the sprung mass that leans with each end [kg·m].
    half_base, half_track, half_stop_base : (2, N), (2, N), (2, 2, N) arrays
        [m].
    spring_load : (2, N) array
        Force of the spring's straight line at as-weighed height, hinges left out [N].
    stop_sense, stop_stiffness, stop_pull : (2, 2, N) arrays
        Stop travel per extension [-], and stiffness [N/m] and force [N/m] per extension.
    shift : (2, N) array
        Contact shift per lateral acceleration with one tyre on the ground [s²].
    weight : (N,) array
        At standard gravity [N].
    patch_drop, patch_slope, patch_turn, patch_rest : (2, N) arrays
        Of the contact patches of an independent axle, which move outward by
        −(drop s + slope s²/2) + turn sin² (φ − p) less `patch_rest`: [-], [1/m], [m], [m].
    track_bar : (3, 2, N) array or None
        That of the model times the sprung mass on the axle; None where none has one.
    frame : (2, N) array or None
        Rate and compliance of the frame [N·m/rad, rad/(N·m)], both 0 where it is rigid; None where
        it is in all of them.
    stops, lash, jacking : bool
        Whether any member has a stop, a bar with a dead band, or an independent axle.
    """

    sprung: np.ndarray
    axle: np.ndarray
    body: np.ndarray
    pin: np.ndarray
    sigma: np.ndarray
    above: np.ndarray
    below: np.ndarray
    offset: np.ndarray
    half_base: np.ndarray
    half_track: np.ndarray
    half_stop_base: np.ndarray
    spring_load: np.ndarray
    stop_sense: np.ndarray
    stop_stiffness: np.ndarray
    stop_pull: np.ndarray
    shift: np.ndarray
    weight: np.ndarray
    patch_drop: np.ndarray
    patch_slope: np.ndarray
    patch_turn: np.ndarray
    patch_rest: np.ndarray
    track_bar: np.ndarray | None
    frame: np.ndarray | None
    stops: bool
    lash: bool
    jacking: bool


@dataclass(frozen=True)  # no slots: `constants` is kept once it is worked out
class Model:
    """A batch of vehicles, reduced to what the balance of docs/method.md §1 takes.

    Parameters
    ----------
    sprung_mass, cg_height, cg_left : (N,) arrays
        Sprung mass [kg], height of its CG above ground in the datum [m], and its distance left
        of the centreline [m].
    cg_behind_front : (N,) array
        Sprung CG behind the front axle before pitch [m].
    wheelbase : (N,) array
        [m].
    rear_share : (N,) array
        Share of the sprung mass on the rear axle [-]; `settle` moves it with pitch.
    unsprung_mass, unsprung_cg_height, track, roll_centre_height, travel_ratio : (2, N) arrays
        [kg], [m], [m], [m], [-].
    lift : (2, N) array
        Suspension lift against as weighed [m].
    spring_base, spring_load, spring_rate : (2, N) arrays
        [m]; force of one spring as weighed [N]; rate before any hinge [N/m].
    hinge_start, hinge_step : (J, 2, N) arrays
        Compression at which the rate changes [m] and by how much [N/m].
    stop_gap, stop_rate, stop_base, stop_ratio : (2, 2, N) arrays
        Bump stop, then rebound limit: gap [m], rate [N/m] (0 where there is none), lateral
        distance [m], stop travel per wheel travel [-].
    tyre_load, tyre_rate : (2, N) arrays
        As-weighed load of one tyre [N], vertical rate [N/m].
    tyre_lateral_rate : (2, N) array
        Of one tyre [N/m]; inf where not given.
    least_tyre_force : (2, N) or (2, 2, N) array
        Of an axle, or left, right; front, rear. 0 [N]: a tyre cannot pull; −inf follows a wheel
        lift from its loaded side.
    roll_stiffness : (2, N) array
        Auxiliary roll stiffness and any bar without lash [N·m/rad].
    bar_stiffness, bar_lash : (2, N) arrays
        A bar with a dead band: roll stiffness [N·m/rad] beyond ± this angle [rad].
    independent : (2, N) array
        1 where the wheels move each for itself, so that side force jacks; 0 on a solid axle [-].
    rest : (2, 2, N) array
        Travel and rise at rest, which `settle` finds [m]: from there contact patches move.
    frame_compliance : (N,) array
        Twist between the axles per moment [rad/(N·m)]; 0 where the frame is rigid.
    rear_moment, rear_offset : (N,) arrays
        First moments of height, and left of the centreline, that lean with the rear end beyond its
        share of the whole: what the place of each item adds [kg·m].
    cab_share : (N,) array
        Of the twist that the cab takes up [-].
    track_bar : (3, 2, N) array
        How far a track bar takes the body to the left of its axle as it rises by s and leans over
        it by θ: −k s − c s²/2 + d θ²/2 with its rows k [-], c [1/m] and d [m]; 0 without one.
    """

    sprung_mass: np.ndarray
    cg_height: np.ndarray
    cg_left: np.ndarray
    cg_behind_front: np.ndarray
    wheelbase: np.ndarray
    rear_share: np.ndarray
    unsprung_mass: np.ndarray
    unsprung_cg_height: np.ndarray
    track: np.ndarray
    roll_centre_height: np.ndarray
    travel_ratio: np.ndarray
    lift: np.ndarray
    spring_base: np.ndarray
    spring_load: np.ndarray
    spring_rate: np.ndarray
    hinge_start: np.ndarray
    hinge_step: np.ndarray
    stop_gap: np.ndarray
    stop_rate: np.ndarray
    stop_base: np.ndarray
    stop_ratio: np.ndarray
    tyre_load: np.ndarray
    tyre_rate: np.ndarray
    tyre_lateral_rate: np.ndarray
    least_tyre_force: np.ndarray
    roll_stiffness: np.ndarray
    bar_stiffness: np.ndarray
    bar_lash: np.ndarray
    independent: np.ndarray
    rest: np.ndarray
    frame_compliance: np.ndarray
    rear_moment: np.ndarray
    rear_offset: np.ndarray
    cab_share: np.ndarray
    track_bar: np.ndarray

    @property
    def size(self) -> int:
        """Number of vehicles N."""
        return self.sprung_mass.shape[-1]

    @property
    def axle_mass(self) -> np.ndarray:
        """Mass carried by each axle [kg], (2, N)."""
        return self.constants.axle

    @property
    def sprung_share_mass(self) -> np.ndarray:
        """Sprung mass on each axle [kg], (2, N)."""
        return self.constants.sprung

    @property
    def total_mass(self) -> np.ndarray:
        """Whole mass [kg], (N,)."""
        return self.sprung_mass + self.unsprung_mass.sum(axis=0)

    @cached_property
    def constants(self) -> Constants:
        """What follows from these numbers alone."""
        sprung = np.empty_like(self.track)
        sprung[1] = self.sprung_mass * self.rear_share
        sprung[0] = self.sprung_mass - sprung[1]
        axle = sprung + self.unsprung_mass
        sigma = 1.0 - self.travel_ratio
        above = sprung * (self.cg_height - self.roll_centre_height)
        below = sprung * self.roll_centre_height + self.unsprung_mass * self.unsprung_cg_height
        offset, frame = sprung * self.cg_left, None
        if self.frame_compliance.any():
            twist, rate = self.frame_compliance, np.zeros_like(self.frame_compliance)
            frame = np.stack([np.divide(1.0, twist, out=rate, where=twist > 0.0), twist])
            above += ENDS * self.rear_moment
            offset += ENDS * self.rear_offset
        hinged = (self.hinge_step * np.maximum(-self.hinge_start, 0.0)).sum(axis=0)
        sense = STOPS * self.stop_ratio
        wide = 2.0 * self.independent / self.track
        drop = wide * (self.roll_centre_height + self.rest[1])
        slope = wide * self.travel_ratio
        return Constants(
            sprung=sprung,
            axle=axle,
            body=sprung * sigma,
            pin=sprung * self.travel_ratio,
            sigma=sigma,
            above=above,
            below=below,
            offset=offset,
            half_base=0.5 * self.spring_base,
            half_track=0.5 * self.track,
            half_stop_base=0.5 * self.stop_base,
            spring_load=self.spring_load - hinged,
            stop_sense=sense,
            stop_stiffness=self.stop_rate * self.stop_ratio**2,
            stop_pull=sense * self.stop_rate,
            shift=axle / self.tyre_lateral_rate,
            weight=STANDARD_GRAVITY * self.total_mass,
            patch_drop=drop,
            patch_slope=slope,
            patch_turn=0.25 * self.independent * sigma * self.track,
            patch_rest=-self.rest[0] * (drop + 0.5 * slope * self.rest[0]),
            track_bar=sprung * self.track_bar if self.track_bar.any() else None,
            frame=frame,
            stops=bool(self.stop_rate.any()),
            lash=bool(self.bar_stiffness.any()),
            jacking=bool(self.independent.any()),
        )

    def take(self, index: np.ndarray | slice) -> "Model":
        """The members at `index` along the batch axis, contiguous."""
        if isinstance(index, slice):
            return Model(*(np.ascontiguousarray(one[..., index]) for one in _ARRAYS(self)))
        rows = np.arange(self.size)[index]
        return Model(*(one.take(rows, axis=-1) for one in _ARRAYS(self)))

    def on_leg(self, lifted: np.ndarray) -> "Model":
        """The same on a leg of a left turn: the inner tyres not `lifted` (2, N) may pull [N]."""
        # An outer tyre never pulls: a load far to the inner side may hold it up at rest.
        inner = np.where(lifted, 0.0, -np.inf)
        found = replace(self, least_tyre_force=np.stack([inner, np.zeros_like(inner)]))
        found.__dict__["constants"] = self.constants  # none of them looks at that force
        return found

    def mirrored(self) -> "Model":
        """The same vehicles with their loads on the other side."""
        names = ("cg_left", "rear_offset", "track_bar")
        return replace(self, **{name: -getattr(self, name) for name in names})

    @property
    def is_lopsided(self) -> bool:
        """Whether left and right turns differ for any of them."""
        return bool(self.cg_left.any() or self.rear_offset.any() or self.track_bar.any())


_ARRAYS = attrgetter(*(f.name for f in fields(Model)))


def concatenate(models: list[Model]) -> Model:
    """Join batches end to end; springs with fewer hinges are padded with hinges of step 0.

    Parameters
    ----------
    models : list of Model
        At least one.

    Returns
    -------
    Model
        Of the summed size.
    """
    hinges = max(m.hinge_start.shape[0] for m in models)
    padded = [_pad_hinges(m, hinges) for m in models]
    return Model(*(np.concatenate(one, axis=-1) for one in zip(*map(_ARRAYS, padded), strict=True)))


def _pad_hinges(model: Model, hinges: int) -> Model:
    if model.hinge_start.shape[0] == hinges:
        return model
    missing = ((0, hinges - model.hinge_start.shape[0]), (0, 0), (0, 0))
    return replace(
        model,
        hinge_start=np.pad(model.hinge_start, missing),
        hinge_step=np.pad(model.hinge_step, missing),
    )
