"""One vehicle with one list of bars: which section and hole in each load case, or why none."""

import hashlib
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from rollsim.bar import RearBar
from rollsim.bar_range.changes import Change, changed_data
from rollsim.mass import case_names
from rollsim.scenario import Opened, Scenario, ScenarioError, from_data
from rollsim.scenario.bounds import parsed
from rollsim.scenario.shelf import read_shelf
from rollsim.sizing import Candidate
from rollsim.sizing.choice import Decision, decide_each
from rollsim.tell.kinds import LEAN_PER_G
from rollsim.tell.names import clean, state_words
from rollsim.tell.of_bars import BAR, PART, SIZING
from rollsim.tolerance import band, bar_shifting, lean_samples, ordered, shifting

SAMPLES = 64
"""Draws of a band here; a single answer takes more."""
FITS, NONE, NOTHING, WRONG = "fits", "none fits", "nothing to bring back", "error"
_BAND = ("roll_gradient_band_low_deg_per_g", "roll_gradient_band_high_deg_per_g")
_OF_THE_CASE = ("target", "present")
_OF_THE_BAR = ("lever", "roll_gradient", "roll_stiffness", "safety_factor", "mass")
HEADS = (
    *("file", "change", "vehicle", "class", "case", "answer", "part", "section", "steel", "hole"),
    *(BAR[name].key for name in _OF_THE_BAR),
    *_BAND,
    *(SIZING[name].key for name in _OF_THE_CASE),
    *("in_the_way", "accepted", PART["price"].key, "currency", PART["weeks"].key, "error"),
)
"""Columns of the CSV."""

Row = dict[str, str]
"""A row of the CSV: only what it has."""


@dataclass(frozen=True, slots=True)
class Run:
    """One vehicle: a scenario as text with its CSV files, the shelf, and what is changed."""

    file: str
    text: str
    tables: tuple[tuple[str, str], ...]
    change: Change
    shelf: str = ""

    @property
    def digest(self) -> str:
        """Tells this run from every other one, and from itself with a file changed."""
        whole = [self.file, self.text, self.tables, self.change.name, self.change.values]
        text = json.dumps([*whole, self.shelf, SAMPLES])
        return hashlib.sha256(text.encode()).hexdigest()


def runs_of(files: Iterable[Opened], changes: tuple[Change, ...], shelf: str) -> Iterator[Run]:
    """Every file with every change; `shelf` is the CSV of the bars, empty: each file's own."""
    for opened in files:
        held = opened.source()
        for change in changes or (Change(""),):
            yield Run(opened.path, held.text, held.tables, change, shelf)


def parts_of(shelf: str) -> tuple[str, ...]:
    """What the bars of a list are called, as counts have them."""
    return tuple(listed(bar.part) for bar in read_shelf(None, shelf).bars) if shelf else ()


def answer(run: Run) -> list[Row]:
    """A row for each load case; one with the error where there is no answer, whatever it is."""
    said = {"file": clean(run.file), "change": clean(run.change.name)}
    try:
        scenario = _scenario(run)
        about = said | {
            "vehicle": clean(scenario.job.vehicle.name),
            "class": getattr(scenario.job.vehicle.vehicle_class, "value", ""),
        }
        cases = case_names(scenario.job)
        found = decide_each(scenario.job, scenario.rear_bar, cases)
        return [about | _of_case(scenario, *one) for one in zip(cases, found, strict=True)]
    except ScenarioError as wrong:
        first, *more = wrong.errors
        words = f"{first}{f' (and {len(more)} more errors)' if more else ''}"
    except ValueError as error:
        words = str(error)
    except Exception as error:  # one bad file does not stop the others
        words = f"failed: {type(error).__name__}: {error}; please report"
    return [said | {"answer": WRONG, "error": clean(words)}]


def _scenario(run: Run) -> Scenario:
    data = changed_data(parsed(run.text), run.change)
    if not isinstance(data.get("rear_bar"), dict):
        raise ValueError(
            f"{run.file}: rear_bar: missing; allowed a table with mount and bush_spacing; add it"
        )
    if run.shelf:
        bar = {key: value for key, value in data["rear_bar"].items() if key not in _REPLACED}
        data["rear_bar"] = bar | {"shelf": run.shelf}
    return from_data(data, run.file, dict(run.tables))


_REPLACED = ("material", "sections", "stock", "shelf")


def _of_case(scenario: Scenario, case: str, found: Decision) -> Row:
    row = {"case": state_words(case), "answer": _answer(found)}
    row |= {SIZING[name].key: _number(SIZING[name].number(found)) for name in _OF_THE_CASE}
    row["accepted"] = "; ".join(dict.fromkeys(label(c) for c in found.candidates if c.accepted))
    row["in_the_way"] = "; ".join(obstacle.value for obstacle in found.in_the_way)
    if found.choice is not None:
        row |= _bar(found.choice) | _band(scenario, case, found.choice, scenario.rear_bar)
    return row


def _answer(found: Decision) -> str:
    if found.choice is not None:
        return FITS
    return NOTHING if found.nothing_to_bring_back else NONE


def label(bar: Candidate) -> str:
    """What is kept on a shelf: the part, or section and steel."""
    return listed(bar.part.part if bar.part else f"{bar.section.label} of {bar.steel.name}")


def listed(name: str) -> str:
    """A name that can stand in a list of names, between "; "."""
    return clean(name).replace("; ", ", ")


def _bar(bar: Candidate) -> Row:
    row = {
        "section": bar.section.label,
        "steel": clean(bar.steel.name),
        "hole": str(bar.hole_number),
        **{BAR[name].key: _number(BAR[name].number(bar)) for name in _OF_THE_BAR},
    }
    if bar.part is not None:
        row |= {"part": clean(bar.part.part), "currency": bar.part.currency}
        row |= {one.key: _number(one.number(bar.part)) for one in PART.values()}
    return row


def _band(scenario: Scenario, case: str, bar: Candidate, rear_bar: RearBar) -> Row:
    """Nine cases of ten of the lean with the bar; nothing where no input has a tolerance."""
    known, job = scenario.tolerances, scenario.job
    if not shifting(known) and not bar_shifting(known):
        return {}
    hung = ordered(bar, rear_bar)
    drawn = band(lean_samples(job, known, case, at=job.target.at, bar=hung, count=SAMPLES))
    ends = (drawn.low, drawn.high)
    return {key: _number(LEAN_PER_G.number(end)) for key, end in zip(_BAND, ends, strict=True)}


def _number(value: float | None) -> str:
    return "" if value is None else repr(value)
