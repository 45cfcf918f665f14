"""What a job sheet keeps of its job besides the scenario, and how it is read back."""

import base64
import binascii
import json
import math
import re
from collections.abc import Iterable
from dataclasses import dataclass

from rollsim.scenario.bounds import parsed
from rollsim.scenario.embedded import extract
from rollsim.tell.kinds import LEAN
from rollsim.tell.names import clean

META = "rollsim-job"
_FOUND = re.compile(rf'<meta name="{META}" content="([A-Za-z0-9+/=]+)">')
_MADE = re.compile(r'<div class="right">(\d{4}-\d\d-\d\d)<br>rollsim ([^<]{1,60})<br>')
_TEXTS = (
    *("version", "date", "time", "registration", "vehicle", "vehicle_class", "case", "bar"),
    "part",
)
_LEANS = {
    "before": "lean_before_deg",
    "predicted": "lean_predicted_deg",
    "band_low": "lean_predicted_band_low_deg",
    "band_high": "lean_predicted_band_high_deg",
    "measured": "lean_measured_deg",
    "measured_tolerance": "lean_measured_tolerance_deg",
    "unladen": "unladen_lean_deg",
}
_LONGEST, _MOST_OPEN = 300, 50
_STEEPEST = math.pi / 2.0


@dataclass(frozen=True, slots=True)
class JobRecord:
    """One job. Leans at 0.3 g, the mean of both bends [rad]; NaN where the sheet has none.

    `before`, `predicted` and `measured` are of the loaded case, without and with what was ordered;
    `unladen` is of the empty vehicle as it came. `date` and `time` of day are ISO, empty where not
    known.
    `open_items` are left to be done; `kept_leans` is False for a sheet of an older version.
    """

    version: str = ""
    date: str = ""
    time: str = ""
    registration: str = ""
    vehicle: str = ""
    vehicle_class: str = ""
    case: str = ""
    bar: str = ""
    part: str = ""
    before: float = math.nan
    predicted: float = math.nan
    band_low: float = math.nan
    band_high: float = math.nan
    measured: float = math.nan
    measured_tolerance: float = math.nan
    unladen: float = math.nan
    open_items: tuple[str, ...] = ()
    kept_leans: bool = True
    file: str = ""

    @property
    def plate(self) -> str:
        """The registration as it is compared: capitals and digits alone."""
        return "".join(c for c in self.registration.upper() if c.isalnum())


def age(job: JobRecord) -> tuple[str, str, bool, str]:
    """Sorts the oldest first; within a day without times what was not measured is older."""
    return job.date, job.time, math.isfinite(job.measured), job.file


def in_order(jobs: Iterable[JobRecord]) -> tuple[JobRecord, ...]:
    """The oldest first."""
    return tuple(sorted(jobs, key=age))


def started_again(text: str) -> str:
    """The scenario (TOML) of a sheet for the next job: what was measured after the last one is off.

    Raises ValueError where the text cannot be changed.
    """
    from rollsim.scenario.editing import changed  # few start again

    return changed(text, {"job.lean_after": None})


def embed_job(job: JobRecord) -> str:
    """The `<meta>` element that keeps a job in its sheet."""
    data: dict[str, object] = {name: getattr(job, name) for name in _TEXTS}
    data |= {key: LEAN.number(getattr(job, name)) for name, key in _LEANS.items()}
    data["open_items"] = list(job.open_items)
    packed = base64.b64encode(json.dumps(data).encode("ascii")).decode("ascii")
    return f'<meta name="{META}" content="{packed}">'


def job_in(html: str, file: str) -> JobRecord | None:
    """The job of a sheet; None where the file is no sheet, or a damaged one.

    Of a sheet made before leans were kept, what its scenario tells.
    """
    source = extract(html)
    if source is None:
        return None
    match = _FOUND.search(html)
    if match is None:
        return _of_an_older_version(html, source.text, file)
    try:
        # What a later version keeps as well an older sheet has not: that is no damage.
        data = json.loads(base64.b64decode(match[1], validate=True))
        texts = {name: _text(data.get(name, "")) for name in _TEXTS}
        leans = {name: _lean(data.get(key)) for name, key in _LEANS.items()}
        items = data.get("open_items", [])[:_MOST_OPEN]
        return JobRecord(**texts, **leans, open_items=tuple(map(_text, items)), file=file)
    except (binascii.Error, ValueError, RecursionError, AttributeError, TypeError, OverflowError):
        return None


def _text(found: object) -> str:
    if not isinstance(found, str):
        raise TypeError
    return clean(found[:_LONGEST])


def _lean(found: object) -> float:
    if found is None:
        return math.nan
    if isinstance(found, bool) or not isinstance(found, int | float):
        raise TypeError
    lean = math.radians(found)
    if not -_STEEPEST < lean < _STEEPEST:
        raise ValueError
    return lean


def _of_an_older_version(html: str, text: str, file: str) -> JobRecord | None:
    try:
        data = parsed(text)
    except ValueError:
        return None
    vehicle = data.get("vehicle")
    said = vehicle if isinstance(vehicle, dict) else {}
    day, version = made.groups() if (made := _MADE.search(html)) else ("", "")
    return JobRecord(
        version=clean(version),
        date=day,
        vehicle=clean(str(said.get("name", ""))[:_LONGEST]),
        vehicle_class=clean(str(said.get("class", ""))[:_LONGEST]),
        open_items=("its leans are not kept in it: make the sheet again",),
        kept_leans=False,
        file=file,
    )
