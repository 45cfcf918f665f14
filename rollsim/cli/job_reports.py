"""What `rollsim jobs` prints: the jobs, the shop's accuracy and normal leans, what was skipped."""

from collections.abc import Sequence

from rollsim.cli.layout import Column, aligned, bullets, paragraph, section
from rollsim.reader_units import METRIC
from rollsim.record import JobRecord, Record, accuracy_of, compared, normal_leans, one_a_job
from rollsim.record.accuracy import Accuracy
from rollsim.record.words import (
    NO_NORMAL,
    TOO_FEW,
    accuracy_words,
    count_words,
    left_out_words,
    normal_words,
)
from rollsim.tell.figures import record, why_null
from rollsim.tell.kinds import LEAN, RATIO
from rollsim.tell.of_jobs import JOB, LISTED

_TEXTS = (
    *("file", "version", "date", "time", "registration", "vehicle", "vehicle_class", "case", "bar"),
    "part",
)
_NO_TEXT = "–"


def jobs_report(whole: Record, sheets: Sequence[JobRecord], *, folder: str) -> str:
    """The jobs on the sheets asked for, and what the whole record says."""
    jobs = one_a_job(sheets)
    found = accuracy_of(whole.jobs)
    normal = normal_leans(whole.jobs)
    count = count_words(len(jobs), len(sheets))
    if len(sheets) < len(whole.jobs):
        count += f", of {count_words(len(one_a_job(whole.jobs)), len(whole.jobs))}"
    return "\n\n".join(
        (
            paragraph(f"{folder}: {count}; leans at 0.3 g, loaded, in deg"),
            *((_table(jobs),) if jobs else ()),
            *section("Left open", bullets(_open(jobs))),
            paragraph(TOO_FEW if found is None else accuracy_words(found)),
            *section("Not counted", bullets(left_out_words(compared(whole.jobs)))),
            *section(
                "Normal in this shop", bullets(normal_words(one) for one in normal) or NO_NORMAL
            ),
            *section(
                f"Skipped: {len(whole.skipped)}",
                bullets(f"{one.file}: {one.why}" for one in whole.skipped),
            ),
        )
    )


def _table(jobs: Sequence[JobRecord]) -> str:
    columns = (
        Column("date", 10, left=True),
        Column("plate", 9, left=True),
        Column("vehicle", 16, left=True),
        Column("case", 11, left=True),
        *(Column(JOB[name].words, 9) for name in LISTED),
        Column("bar", 20, left=True),
    )
    return aligned(
        columns,
        [
            (
                *(text or _NO_TEXT for text in (job.date, job.registration, job.vehicle, job.case)),
                *(JOB[name].cell(job, METRIC) for name in LISTED),
                job.bar or _NO_TEXT,
            )
            for job in jobs
        ],
    )


def _open(jobs: Sequence[JobRecord]) -> list[str]:
    return [f"{job.file}: {'; '.join(job.open_items)}" for job in jobs if job.open_items]


def jobs_record(whole: Record, sheets: Sequence[JobRecord]) -> dict[str, object]:
    """JSON: angles in deg, shares as such, null where there is no figure."""
    found, jobs = accuracy_of(whole.jobs), one_a_job(sheets)
    held = compared(whole.jobs)
    return {
        "sheets": len(sheets),
        "jobs": [_job(job) for job in jobs],
        "prediction_error": None if found is None else _accuracy(found),
        "not_counted": [{"file": file, "why": why} for file, why in held.left_out],
        "without_registration": held.without_plate,
        "normal_lean": [
            {
                "vehicle_class": one.vehicle_class,
                "vehicles": one.count,
                "mean_deg": LEAN.number(one.mean),
                "standard_deviation_deg": LEAN.number(one.deviation),
            }
            for one in normal_leans(whole.jobs)
        ],
        "skipped": [{"file": one.file, "why": one.why} for one in whole.skipped],
        "notes": [
            *([TOO_FEW] if found is None else []),
            *why_null(JOB.values(), jobs, " of a job"),
        ],
    }


def _job(job: JobRecord) -> dict[str, object]:
    return {
        **{name: getattr(job, name) for name in _TEXTS},
        **record(JOB.values(), job),
        "open_items": list(job.open_items),
    }


def _accuracy(found: Accuracy) -> dict[str, object]:
    return {
        "vehicles": found.count,
        "jobs": found.jobs,
        "bias": RATIO.number(found.bias.value),
        "bias_standard_error": RATIO.number(found.bias.standard_error),
        "bias_95": [RATIO.number(end) for end in found.bias.interval],
        "scatter": RATIO.number(found.scatter),
        "scatter_standard_error": RATIO.number(found.scatter_error),
        "scatter_95": [RATIO.number(end) for end in found.scatter_interval],
        "text": accuracy_words(found),
    }
