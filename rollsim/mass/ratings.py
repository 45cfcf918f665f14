"""Which ratings does a state exceed, and which are not given?"""

from dataclasses import dataclass

from rollsim.mass.states import AS_WEIGHED, UNLADEN, State
from rollsim.vehicle import Job, Load, Place, Ratings

ROUNDING = 1e-9  # a load that equals its limit is not over it


@dataclass(frozen=True, slots=True)
class RatingCheck:
    """A rating [kg] beside what the vehicle puts on it [kg]."""

    name: str
    load: float
    limit: float

    @property
    def over(self) -> bool:
        """More than the rating allows."""
        return self.load > self.limit * (1.0 + ROUNDING)


def rating_checks(
    job: Job, state: State, axle_masses: tuple[float, float]
) -> tuple[RatingCheck, ...]:
    """Every rating that is given, beside what the state puts on it.

    Parameters
    ----------
    job : Job
        Ratings and load items.
    state : State
        Which items are on.
    axle_masses : tuple of float
        Front and rear axle, settled [kg].

    Returns
    -------
    tuple of RatingCheck
        Rack and fittings count as roof load; what is up there only when parked counts only then.
    """
    roof = sum(load.mass for load in state.loads if load.place is Place.ROOF)
    sleepers = (load for load in job.loads if load.parked_only and _in_case(load, state))
    parked = sum(load.mass for load in sleepers)
    r = job.ratings
    found = (
        ("front_axle", axle_masses[0], r.front_axle),
        ("rear_axle", axle_masses[1], r.rear_axle),
        ("gross_vehicle_mass", sum(axle_masses), r.gross_vehicle_mass),
        ("roof_load", roof, r.roof_load),
        ("roof_load_off_road", roof, r.roof_load_off_road),
        ("roof_load_parked", roof + parked, r.roof_load_parked),
    )
    return tuple(
        RatingCheck(name, float(load), limit) for name, load, limit in found if limit is not None
    )


def not_checked(job: Job) -> tuple[str, ...]:
    """Ratings that are not given, so that nothing tells whether they are kept.

    Parameters
    ----------
    job : Job
        Ratings and load items.

    Returns
    -------
    tuple of str
        Their keys. That of the roof off the road counts where something goes up there, that of
        the roof when parked where somebody sleeps there.
    """
    roof = [load for load in job.loads if load.place is Place.ROOF]
    counts = {
        "roof_load_off_road": any(not load.parked_only for load in roof),
        "roof_load_parked": any(load.parked_only for load in roof),
    }
    return tuple(
        name
        for name in Ratings.__dataclass_fields__
        if getattr(job.ratings, name) is None and counts.get(name, True)
    )


def _in_case(load: Load, state: State) -> bool:
    in_use = state.name not in (UNLADEN, AS_WEIGHED)
    return in_use and (load.cases is None or state.name in load.cases)
