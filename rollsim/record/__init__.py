"""The shop's own record: what its job sheets say together.

`kept` is what a sheet keeps of its job, `folder` reads a folder of sheets, `listing` puts those of
one job together, `accuracy` says how well the shop's predictions came true, and what is normal
there.
"""

from rollsim.record.accuracy import (
    Accuracy,
    Compared,
    NormalLean,
    accuracy,
    accuracy_of,
    compared,
    normal_leans,
)
from rollsim.record.folder import Record, Skipped, read_folder
from rollsim.record.kept import JobRecord, embed_job, started_again
from rollsim.record.listing import one_a_job

__all__ = [
    "Accuracy",
    "Compared",
    "JobRecord",
    "NormalLean",
    "Record",
    "Skipped",
    "accuracy",
    "accuracy_of",
    "compared",
    "embed_job",
    "normal_leans",
    "one_a_job",
    "read_folder",
    "started_again",
]
