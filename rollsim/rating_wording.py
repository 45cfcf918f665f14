"""What are the ratings called, and which of them is nothing held against? For all surfaces."""

from collections.abc import Mapping

from rollsim.mass import not_checked
from rollsim.vehicle import Job

RATING_WORDS = {
    "front_axle": "front axle",
    "rear_axle": "rear axle",
    "gross_vehicle_mass": "gross vehicle mass",
    "roof_load": "roof load, on road",
    "roof_load_off_road": "roof load, off road",
    "roof_load_parked": "roof load, parked",
}


def not_checked_words(job: Job, names: Mapping[str, str] = RATING_WORDS) -> str:
    """Which ratings are not given, so that nothing tells whether they are kept.

    Parameters
    ----------
    job : Job
        Ratings and load items.
    names : mapping
        What each rating is called where it is told.

    Returns
    -------
    str
        Half a sentence; empty where every rating that counts is given.
    """
    missing = ", ".join(names[name].replace(",", "") for name in not_checked(job))
    return f"not checked: {missing} (no rating given)" if missing else ""
