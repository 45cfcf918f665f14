"""A folder of job sheets, read sheet by sheet; what cannot be read is named and skipped."""

import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from rollsim.files import TooLargeError, read_text
from rollsim.record.kept import JobRecord, in_order, job_in
from rollsim.scenario.bounds import too_large
from rollsim.scenario.embedded import LARGEST_SHEET, SUFFIXES
from rollsim.tell.names import clean

NO_SHEET = "no job sheet of this program, or a damaged one"


@dataclass(frozen=True, slots=True)
class Skipped:
    """A file that is no job sheet, and why."""

    file: str
    why: str


@dataclass(frozen=True, slots=True)
class Record:
    """Every job of a folder, the oldest first, and what was skipped."""

    jobs: tuple[JobRecord, ...]
    skipped: tuple[Skipped, ...] = ()

    def of(self, registration: str) -> tuple[JobRecord, ...]:
        """The jobs of one vehicle, the oldest first."""
        plate = JobRecord(registration=registration).plate
        return tuple(job for job in self.jobs if plate and job.plate == plate)


def read_folder(folder: Path, progress: Callable[[int, int], None] | None = None) -> Record:
    """Read every sheet of a folder; folders inside it are left alone.

    `progress` is told how many of how many are done. Raises OSError where the folder cannot be
    read.
    """
    with os.scandir(folder) as entries:
        found = sorted(
            (entry for entry in entries if entry.name.lower().endswith(SUFFIXES)),
            key=lambda entry: entry.name,
        )
    jobs, skipped = [], []
    for number, entry in enumerate(found, 1):
        job = _job(Path(entry.path), is_link=entry.is_symlink())
        if isinstance(job, str):
            skipped.append(Skipped(clean(entry.name), job))
        else:
            jobs.append(job)
        if progress is not None:
            progress(number, len(found))
    return Record(in_order(jobs), tuple(skipped))


def _job(path: Path, *, is_link: bool) -> JobRecord | str:
    """The job of a file, or why there is none."""
    if path.name != clean(path.name):
        return "control characters in its name; rename it"
    if is_link:
        return "a link; put the sheet itself into the folder"
    if not path.is_file():
        return "no file"
    try:
        html = read_text(path, LARGEST_SHEET)
    except TooLargeError:
        return too_large(LARGEST_SHEET)
    except UnicodeDecodeError:
        return "not UTF-8 text, so no job sheet as it was written"
    except OSError as error:
        return f"cannot be read ({error.strerror})"
    job = job_in(html, path.name)
    return job or NO_SHEET
