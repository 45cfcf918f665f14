"""One list of bars over many vehicles and load cases: what fits how many?

`changes` makes many vehicles of one scenario, `runs` answers one of them, `many` all of them in
several processes and over interruptions, `summary` counts.
"""

from rollsim.bar_range.changes import Change, read_changes
from rollsim.bar_range.many import answer_all
from rollsim.bar_range.runs import HEADS, Run, answer, parts_of, runs_of
from rollsim.bar_range.summary import Fits, Summary, fits, summary_words

__all__ = [
    "HEADS",
    "Change",
    "Fits",
    "Run",
    "Summary",
    "answer",
    "answer_all",
    "fits",
    "parts_of",
    "read_changes",
    "runs_of",
    "summary_words",
]
