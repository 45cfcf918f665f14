"""What a sheet keeps of its job for the shop's record."""

import math
from datetime import date

from rollsim.mass import UNLADEN
from rollsim.reader_units import METRIC
from rollsim.record import JobRecord
from rollsim.roll import results
from rollsim.sheet.pictures import point_of
from rollsim.sheet.work import LEAN_AT, Lean, Work
from rollsim.tell.names import clean, state_words
from rollsim.tell.ratings import over_lines
from rollsim.wording import bar_words

NOT_TESTED = "lean after the work not measured"
NO_REGISTRATION = "no registration: the vehicle is not found again"


def kept(work: Work, *, day: date, version: str, time: str = "") -> JobRecord:
    """The job as the record has it; `time` of day is ISO."""
    scenario, loaded = work.scenario, work.leans[0]
    vehicle, tested = scenario.job.vehicle, scenario.lean_after
    within = None if loaded.after is None else loaded.after.within
    return JobRecord(
        version=clean(version),
        date=day.isoformat(),
        time=time,
        registration=clean(scenario.registration),
        vehicle=clean(vehicle.name),
        vehicle_class="" if vehicle.vehicle_class is None else vehicle.vehicle_class.value,
        case=state_words(work.case),
        bar=_bars(work),
        part="" if work.bar is None or work.bar.part is None else clean(work.bar.part.part),
        before=loaded.before.value,
        predicted=_value(loaded.after),
        band_low=math.nan if within is None else within.low,
        band_high=math.nan if within is None else within.high,
        measured=math.nan if tested is None else tested.value,
        measured_tolerance=math.nan if tested is None or not tested.tolerance else tested.tolerance,
        unladen=_unladen(work),
        open_items=_open(work),
    )


def _unladen(work: Work) -> float:
    """Lean of the vehicle as it came, from rest, the mean of both bends [rad]; NaN: it tips."""
    job, leans = work.scenario.job, []
    for mirrored in (False, True):
        (result,) = results(job, (LEAN_AT,), only=(UNLADEN,), mirrored=mirrored)
        point = point_of(result)
        leans.append(math.nan if point is None else point.roll_angle - result.static_lean)
    return sum(leans) / len(leans)


def _value(lean: Lean | None) -> float:
    return math.nan if lean is None else lean.value


def _bars(work: Work) -> str:
    bars = (work.pair.front, work.pair.rear) if work.pair else (work.bar,)
    found = [bar_words(bar, METRIC) for bar in bars if bar is not None]
    if work.new_front is not None:
        found.insert(0, work.new_front.words)
    return clean(" and ".join(found))


def _open(work: Work) -> tuple[str, ...]:
    """What is left to be done when the sheet is printed."""
    scenario, found = work.scenario, []
    if not scenario.registration:
        found.append(NO_REGISTRATION)
    if assumed := len(scenario.assumed):
        found.append(f"{assumed} {'value' if assumed == 1 else 'values'} assumed, not measured")
    results = work.after or work.before
    found += [
        f"over a rating: {line}"
        for line in over_lines([(state_words(one.name), one.ratings) for one in results], METRIC)
    ]
    if not work.is_order:
        found.append("no bar ordered")
    elif scenario.lean_after is None:
        found.append(NOT_TESTED)
    return tuple(dict.fromkeys(found))
