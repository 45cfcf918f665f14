"""What of a list of bars fits how many vehicles and cases."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from rollsim.bar_range.runs import FITS, NONE, NOTHING, WRONG, Row, listed

_LISTED, _ERRORS = 12, 5


@dataclass(frozen=True, slots=True)
class Fits:
    """One bar: how often it is the choice, how often it would be accepted."""

    bar: str
    chosen: int
    accepted: int


@dataclass(frozen=True, slots=True)
class Summary:
    """Counts of answers, of the bars, the most chosen first, and of what is in the way.

    `wrong` are the errors, a line for each row that has one.
    """

    answers: dict[str, int]
    bars: tuple[Fits, ...]
    in_the_way: dict[str, int]
    wrong: tuple[str, ...] = ()

    @property
    def total(self) -> int:
        """Rows counted."""
        return sum(self.answers.values())


def fits(rows: Iterable[Row], parts: Iterable[str] = ()) -> Summary:
    """Count the rows of a range; of `parts`, the whole list, those that fit none stand too."""
    answers, chosen, accepted, way = Counter(), Counter(), Counter(), Counter()
    wrong = []
    for row in rows:
        answers[row["answer"]] += 1
        accepted.update(filter(None, row.get("accepted", "").split("; ")))
        way.update(filter(None, row.get("in_the_way", "").split("; ")))
        if row["answer"] == WRONG:
            wrong.append(_error(row))
        if row["answer"] == FITS:
            chosen[listed(row.get("part") or f"{row['section']} of {row['steel']}")] += 1
    bars = sorted({*accepted, *parts}, key=lambda bar: (-chosen[bar], -accepted[bar], bar))
    return Summary(
        answers=dict(answers),
        bars=tuple(Fits(bar, chosen[bar], accepted[bar]) for bar in bars),
        in_the_way=dict(way.most_common()),
        wrong=tuple(wrong),
    )


def _error(row: Row) -> str:
    """Of which vehicle, and what."""
    name = ", ".join(filter(None, (row["file"], row["change"])))
    words = row["error"].removeprefix(f"{row['file']}: ")
    return f"Error: {name}: {words}"


def summary_words(found: Summary) -> tuple[str, ...]:
    """How many fit and why the others do not, then the bars, a line each."""
    count = found.answers.get
    head = (
        f"{found.total} vehicles and load cases: a bar fits {count(FITS, 0)}, none fits "
        f"{count(NONE, 0)}, nothing to bring back in {count(NOTHING, 0)}, errors in "
        f"{count(WRONG, 0)}."
    )
    way = ", ".join(f"{name} {number}" for name, number in found.in_the_way.items())
    bars = [
        f"{one.bar}: chosen in {one.chosen}, accepted in {one.accepted}"
        for one in found.bars[:_LISTED]
        if one.accepted
    ]
    more = len(found.wrong) - _ERRORS
    useless = ", ".join(one.bar for one in found.bars if not one.accepted)
    return (
        head,
        *([f"In the way where none fits: {way}."] if way else []),
        *bars,
        *([f"Accepted in none: {useless}."] if useless else []),
        *found.wrong[:_ERRORS],
        *([f"and {more} more errors, in the CSV"] if more > 0 else []),
    )
