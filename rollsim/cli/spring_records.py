"""What `rollsim springs --json` prints."""

from collections.abc import Sequence

from rollsim.cautions import AFTER_LIFT, is_lifted
from rollsim.cli.records import Record, number
from rollsim.mass import not_checked
from rollsim.reader_units import METRIC
from rollsim.scenario import Scenario
from rollsim.spring_check import AxleCheck, SpringCheck
from rollsim.spring_wording import reason_words

_WHY_NULL = {
    "bump_travel_left_mm": "its bump_stop is not given",
    "rebound_travel_left_mm": "its rebound_limit is not given",
    "bump_travel_left_share": "its bump_stop is not given, or has no gap",
    "rebound_travel_left_share": "its rebound_limit is not given, or has no gap",
    "tyre_rated_load_N": "its tyre's rated_load is not given",
    "axle_rating_kg": "its rating is not given",
    "spring_stress_MPa": "the spring is not given by its dimensions",
    "second_stage_used": "no second stage works",
}


def springs_record(scenario: Scenario, found: Sequence[SpringCheck]) -> Record:
    """Every state with both its axles.

    Parameters
    ----------
    scenario : Scenario
        Its assumed values and notes go along.
    found : sequence of SpringCheck
        Every state.

    Returns
    -------
    dict
        "states" by name, "ratings_not_checked", "after_lift", "assumed", "measured", "notes".
    """
    states = {
        check.name: {
            "front": axle_record(check.front),
            "rear": axle_record(check.rear),
            "payload_left": [
                {
                    "name": rating.name,
                    "load_kg": number(rating.load),
                    "limit_kg": number(rating.limit),
                    "left_kg": number(rating.limit - rating.load),
                    "over": rating.over,
                }
                for rating in check.ratings
            ],
        }
        for check in found
    }
    notes = [*scenario.notes, *_notes(found, states)]
    return {
        "states": states,
        "ratings_not_checked": list(not_checked(scenario.job)),
        "after_lift": list(AFTER_LIFT) if is_lifted(scenario.job.change) else [],
        "assumed": list(scenario.assumed),
        "measured": list(scenario.measured),
        "notes": list(dict.fromkeys(notes)),
    }


def axle_record(check: AxleCheck) -> Record:
    """One axle of one state.

    Parameters
    ----------
    check : AxleCheck
        In SI.

    Returns
    -------
    dict
        Keys carry their units.
    """
    standing = check.verdict is not None
    return {
        "spring_load_N": number(check.spring_load),
        "spring_load_left_N": number(check.side_loads[0]),
        "spring_load_right_N": number(check.side_loads[1]),
        "spring_rate_N_per_mm": number(check.spring_rate, "N/mm"),
        "ride_height_change_mm": number(check.ride_height_change, "mm"),
        "second_stage": check.second_stage.value if standing else None,
        "second_stage_used": number(check.stage_used),
        "bump_travel_left_mm": number(check.bump_travel_left, "mm"),
        "bump_travel_left_share": number(check.bump_share),
        "rebound_travel_left_mm": number(check.rebound_travel_left, "mm"),
        "rebound_travel_left_share": number(check.rebound_share),
        "ride_frequency_Hz": number(check.ride_frequency),
        "spring_stress_MPa": number(check.spring_stress, "MPa"),
        "tyre_load_N": number(check.tyre_load),
        "tyre_rated_load_N": number(check.tyre_rated_load),
        "axle_mass_kg": number(check.axle_mass),
        "axle_rating_kg": number(check.axle_rating),
        "verdict": check.verdict.value if check.verdict is not None else None,
        "reason": reason_words(check, METRIC),
    }


def _notes(found: Sequence[SpringCheck], states: dict[str, Record]) -> list[str]:
    """Why a key is null, each reason once an axle."""
    notes = []
    for check in found:
        for end, axle in (("front", check.front), ("rear", check.rear)):
            if axle.verdict is None:
                notes.append(f"{check.name}: no settled position was found, so figures are null")
                continue
            record = states[check.name][end]
            notes += [
                f"{end}: {key} is null: {why}"
                for key, why in _WHY_NULL.items()
                if record[key] is None
            ]
    return notes
