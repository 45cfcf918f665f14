"""The bay sheet to print: one page a test, how it is done, and a blank for every reading."""

from collections.abc import Mapping, Sequence
from html import escape

from rollsim import mass
from rollsim.measured import twist_vehicle
from rollsim.page import bay_readings as bay
from rollsim.page.bay_readings import BayTest, Kind, Reading
from rollsim.page.bay_results import least_lift
from rollsim.reader_units import ReaderUnits, figure, in_units
from rollsim.sentences import sentence
from rollsim.tell.of_tests import stop_words
from rollsim.vehicle import Job

_LAW = (
    "A result is a figure of this vehicle as it stood, not a release: local codes and a licensed "
    "engineer decide what may be fitted and driven."
)
_STYLE = """
@page { margin: 12mm; }
body { font: 14px/1.35 sans-serif; max-width: 46rem; margin: 1.5rem auto; padding: 0 1rem;
  color: #10151c; background: #fff; }
section { break-after: page; border-bottom: 2px solid #667; padding-bottom: 1rem; }
section:last-of-type { break-after: auto; border: 0; }
h1 { font-size: 1.35rem; margin: .3rem 0; }
h2 { font-size: 1.05rem; margin: .7rem 0 .2rem; break-after: avoid; }
ol, ul { margin: .2rem 0 .4rem; padding-left: 1.3rem; }
table { border-collapse: collapse; width: 100%; }
td { border: 1px solid #667; padding: .2rem .4rem; height: 1.6rem; font-size: 13px; }
td.blank { width: 6.5rem; } td.unit { width: 1%; white-space: nowrap; }
.safety { border: 2px solid #a00; padding: .3rem .6rem; }
.safety ul { margin: 0; }
.names { margin: .3rem 0; }
@media print { body { margin: 0; max-width: none; padding: 0; }
  section { border: 0; } tr, .safety { break-inside: avoid; } }
"""


def sheet(job: Job, units: ReaderUnits, *, title: str, tests: Sequence[BayTest] = bay.TESTS) -> str:
    """Write the sheet as HTML that needs nothing else, for A4 and Letter, a page for each test.

    The wheelbase tells how high an axle has to be lifted. In the reader's units the form on the
    page takes the figures as they are.
    """
    name = f"Bay sheet: {job.vehicle.name}"
    pages = "\n".join(_page(test, job, units, title=title) for test in tests)
    return (
        f'<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta name="viewport" content="width=device-width"><title>{escape(name)}</title>'
        f"<style>{_STYLE}</style></head><body>\n{pages}\n</body></html>\n"
    )


def unit_of(reading: Reading, units: ReaderUnits, chosen: Mapping[str, str]) -> str:
    """The unit that a reading is taken in; a lean by tape is a length."""
    if reading.kind is Kind.ANGLE:
        return units.length if chosen.get("read_by") == bay.ARCHES else "deg"
    if reading.kind is Kind.RATIO:
        return ""
    return units.mass if reading.kind is Kind.MASS else units.length


def _page(test: BayTest, job: Job, units: ReaderUnits, *, title: str) -> str:
    steps = [in_units(step, units) for step in test.steps]
    if test is bay.AXLE_LIFT:
        least = figure(least_lift(job.vehicle.wheelbase), units.length)
        steps.append(f"On this wheelbase 15 deg are {least} {units.length} of lift.")
    if test is bay.FRAME_TWIST:
        weighed = twist_vehicle(job, mass.named(job, mass.AS_WEIGHED))
        steps.append(sentence(stop_words(weighed, units)))
    parts = [
        f"<h1>{escape(test.title)}</h1>",
        f"<p class='names'>{escape(job.vehicle.name)}: {escape(title)}</p>",
        "<p class='names'>Date ____________ &emsp; By ______________________ &emsp; "
        "Odometer ____________</p>",
        f"<p>{escape(in_units(test.gives, units))}</p>",
        f'<div class="safety">{_list([in_units(line, units) for line in test.safety])}</div>',
        "<h2>How</h2>",
        _list(steps, "ol"),
        "<h2>Readings</h2>",
        *(_choice(choice.label, choice.options) for choice in test.choices),
        _blanks(test, units),
        "<h2>Noted</h2>",
        "<p class='names'>What was on it, fuel, tyre pressures: "
        "______________________________________________</p>",
        f"<p><small>{escape(_LAW)}</small></p>",
    ]
    return f'<section class="{test.key}">{"".join(parts)}</section>'


def _choice(label: str, options: Sequence[str]) -> str:
    ticks = " &emsp; ".join(f"☐ {escape(option)}" for option in options)
    return f'<p class="names">{escape(label)}: {ticks}</p>'


def _blanks(test: BayTest, units: ReaderUnits) -> str:
    """Two readings a row, in their order."""
    cells = [
        f"<td>{escape(reading.label)}</td><td class='blank'></td>"
        f"<td class='unit'>{escape(_blank_unit(test, reading, units))}</td>"
        for reading in test.readings
    ]
    rows = ("".join(cells[n : n + 2]) for n in range(0, len(cells), 2))
    return f"<table>{''.join(f'<tr>{row}</tr>' for row in rows)}</table>"


def _blank_unit(test: BayTest, reading: Reading, units: ReaderUnits) -> str:
    if reading.kind is Kind.ANGLE and test is bay.LEAN_TEST:
        return f"deg or {units.length}"
    return unit_of(reading, units, {})


def _list(lines: Sequence[str], kind: str = "ul") -> str:
    return f"<{kind}>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + f"</{kind}>"
