"""How is a spring check said in a sentence? For the command and the page."""

import math

from rollsim.reader_units import ReaderUnits, figure
from rollsim.spring_check import AxleCheck, Finding, SecondStage, Verdict

SHORT = {
    Verdict.UNDER_LOADED: "under",
    Verdict.SUITED: "suited",
    Verdict.OVER_LOADED: "OVER",
}
"""Verdicts in one word, for the cell of a table whose label names the rest."""

_UNTIL_CLOSED = " until the coils close"
_STAGE_WORDS = {
    SecondStage.NONE: "",
    SecondStage.IDLE: "helper leaves (second stage) idle",
    SecondStage.WORKING: "helper leaves (second stage) at work",
    SecondStage.FULLY_IN: "helper leaves (second stage) fully in",
}
UNSETTLED = "no settled position was found, so there is no verdict"


def reason_words(check: AxleCheck, units: ReaderUnits) -> str:
    """Why an axle has its verdict, in one sentence without a full stop."""
    if check.verdict is None:
        return UNSETTLED
    if check.verdict is Verdict.SUITED:
        return _suited(check, units)
    found = [_finding(finding, check, units) for finding in check.findings]
    start = "more than the springs or the ratings take: "
    if check.verdict is Verdict.UNDER_LOADED:
        start = "stiff for what stands on it: "
        if check.findings == (Finding.LITTLE_REBOUND_TRAVEL,):
            start = "close to full droop, from little weight or from a lift: "
    if check.verdict is Verdict.UNDER_LOADED and check.second_stage is SecondStage.IDLE:
        found.append(_STAGE_WORDS[SecondStage.IDLE])
    return start + "; ".join(found)


def travel_words(left: float, share: float, units: ReaderUnits) -> str:
    """Travel left at a stop [m] with its share of the travel from end to end [-].

    Below zero the stop is at work; NaN, written as a dash, where there is none.
    """
    text = figure(left, units.length)
    # No minus before a zero.
    return text if math.isnan(share) else f"{text} ({round(100.0 * share) + 0:d} %)"


def _suited(check: AxleCheck, units: ReaderUnits) -> str:
    parts = [f"{check.ride_frequency:.2f} Hz"]
    if not math.isnan(check.bump_travel_left):
        left = f"{figure(check.bump_travel_left, units.length)} {units.length} of bump travel left"
        left += _UNTIL_CLOSED if check.coils_close else ""
        share = "" if math.isnan(check.bump_share) else f" ({100.0 * check.bump_share:.0f} %)"
        parts.insert(0, left + share)
    else:
        parts.append("bump travel not judged: no bump_stop is given")
    stage = _STAGE_WORDS[check.second_stage]
    if check.second_stage in (SecondStage.WORKING, SecondStage.FULLY_IN):
        stage += f", {100.0 * check.stage_used:.0f} % of their room used"
    return "; ".join([part for part in (stage, *parts) if part])


def _finding(finding: Finding, check: AxleCheck, units: ReaderUnits) -> str:
    mass, length, force = units.mass, units.length, units.force
    bump = figure(check.bump_travel_left, length)
    rebound = figure(check.rebound_travel_left, length)
    texts = {
        Finding.OVER_AXLE_RATING: f"{figure(check.axle_mass, mass)} {mass} on the axle, rated "
        f"{figure(check.axle_rating, mass)} {mass}",
        Finding.OVER_GROSS_MASS: "the whole vehicle is over its gross vehicle mass",
        Finding.OVER_TYRE_RATING: f"{figure(check.tyre_load, force)} {force} on a tyre, rated "
        f"{figure(check.tyre_rated_load, force)} {force}",
        Finding.COILS_CLOSED: "the coils of its spring are closed: it stands on solid steel",
        Finding.ON_BUMP_STOP: "it stands on the bump stop",
        Finding.LITTLE_BUMP_TRAVEL: f"{bump} {length} of bump travel left"
        f"{_UNTIL_CLOSED if check.coils_close else ''}, "
        f"{_percent(check.bump_share)} from end to end",
        Finding.SECOND_STAGE_USED_UP: "helper leaves (second stage) have used up "
        f"{100.0 * min(check.stage_used, 9.99):.0f} % of their room",
        Finding.LOW_FREQUENCY: f"{check.ride_frequency:.2f} Hz, soft for its load",
        Finding.ON_REBOUND_LIMIT: "it hangs in the rebound limit at rest",
        Finding.LITTLE_REBOUND_TRAVEL: f"{rebound} {length} left to full droop, "
        f"{_percent(check.rebound_share)} from end to end",
        Finding.HIGH_FREQUENCY: f"{check.ride_frequency:.2f} Hz, harsh",
    }
    return texts[finding]


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f} % of the travel"
