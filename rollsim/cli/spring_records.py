"""What `rollsim springs --json` prints."""

from collections.abc import Sequence

from rollsim.cautions import AFTER_LIFT, is_lifted
from rollsim.mass import not_checked
from rollsim.reader_units import METRIC
from rollsim.scenario import Scenario
from rollsim.spring_check import AxleCheck, SpringCheck
from rollsim.spring_wording import reason_words
from rollsim.tell.figures import Record, record, why_null
from rollsim.tell.kinds import number
from rollsim.tell.of_springs import AXLE


def springs_record(scenario: Scenario, found: Sequence[SpringCheck]) -> Record:
    """What `rollsim springs --json` prints: every state with both its axles.

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
    notes = [*scenario.notes, *_notes(found)]
    return {
        "states": states,
        "ratings_not_checked": list(not_checked(scenario.job)),
        "after_lift": list(AFTER_LIFT) if is_lifted(scenario.job.change) else [],
        "assumed": list(scenario.assumed),
        "measured": list(scenario.measured),
        "notes": list(dict.fromkeys(notes)),
    }


def axle_record(check: AxleCheck) -> Record:
    """One axle of one state; keys carry their units."""
    standing = check.verdict is not None
    return {
        **record(AXLE.values(), check),
        "second_stage": check.second_stage.value if standing else None,
        "verdict": check.verdict.value if standing else None,
        "reason": reason_words(check, METRIC),
    }


def _notes(found: Sequence[SpringCheck]) -> list[str]:
    """Why a key is null, each reason once an axle."""
    notes = []
    for check in found:
        for end, axle in (("front", check.front), ("rear", check.rear)):
            if axle.verdict is None:
                notes.append(f"{check.name}: no settled position was found, so figures are null")
                continue
            notes += [f"{end}: {note}" for note in why_null(AXLE.values(), (axle,))]
    return notes
