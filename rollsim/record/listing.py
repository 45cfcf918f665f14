"""Which sheets are of one job? An order, the same sheet made again, and that with the reading."""

import math
from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta

from rollsim.record.kept import JobRecord, in_order

LONGEST_OPEN = timedelta(days=180)
"""From a prediction to its reading; later it is of another job: a project default, no source."""


def one_a_job(jobs: Iterable[JobRecord]) -> tuple[JobRecord, ...]:
    """Each job once, the oldest first.

    As its first sheet predicted it: a test that puts the model right predicts what was measured.
    Reading, what is left open and the file are those of its last sheet. Sheets of a vehicle are of
    one job while case and bar stay the same; an order after a reading is the next one.
    """
    rows: list[JobRecord] = []
    last: dict[tuple[str, str, str], int] = {}
    for job in in_order(jobs):
        asked = job.plate, job.case, job.bar
        place = last.get(asked) if job.plate else None
        if place is None or not _is_of(rows[place], job):
            last[asked] = len(rows)
            rows.append(job)
            continue
        rows[place] = replace(
            rows[place],
            measured=job.measured,
            measured_tolerance=job.measured_tolerance,
            open_items=job.open_items,
            file=job.file,
        )
    return tuple(rows)


def in_time(opened: JobRecord, job: JobRecord) -> bool:
    """Whether a sheet may still be of a job; where a date is not known the order alone tells."""
    try:
        days = [date.fromisoformat(one.date) for one in (opened, job)]
    except ValueError:
        return True
    return days[1] - days[0] <= LONGEST_OPEN


def _is_of(row: JobRecord, job: JobRecord) -> bool:
    is_next_order = math.isfinite(row.measured) and not math.isfinite(job.measured)
    return in_time(row, job) and not is_next_order
