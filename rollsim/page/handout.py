"""What the owner takes to the fitter: one printable page, and what to measure."""

from collections.abc import Sequence
from html import escape

from rollsim.cautions import BEFORE_USE, LAW, STEADY_BEND, UP_HIGH
from rollsim.page import carried, nearer
from rollsim.page.carried import Carried
from rollsim.reader_units import ReaderUnits, figure, in_units
from rollsim.tell.of_swerve import swerve_words

MEASURE = (
    "Weigh it as you drive it, each wheel on its own scale, on level ground; note what was on it, "
    "how much fuel, and who sat in it.",
    "Weigh it again with the roof empty, if that can be done: the two together tell most.",
    "Tape: from the ground to the bare roof, and to the middle of each thing on it.",
    "Tape: from front wheel centre to rear wheel centre, and from tyre middle to tyre middle, in "
    "front and behind.",
    "Tape: from each wheel centre straight up to the edge of the wheel arch, with and without the "
    "load.",
    "Read the tyre sizes and pressures, and bring the papers: axle, gross and roof weights.",
)
FITTER = (
    "Spring rates or part numbers, front and rear; helper leaves and the gap before they work.",
    "Solid rear axle: tape between the spring centres, not the track.",
    "Anti-roll bars on it now: diameter with a vernier, arm length, link spacing.",
    "CG height by lifting one axle on the scales, several lifts.",
    "Bump and droop travel left at ride height.",
)
_STYLE = """
body { font: 15px/1.4 sans-serif; max-width: 46rem; margin: 2rem auto; padding: 0 1rem;
  color: #10151c; background: #fff; }
table { border-collapse: collapse; width: 100%; margin: .5rem 0 1rem; }
th, td { border: 1px solid #667; padding: .3rem .5rem; text-align: left; }
li.blank { margin-bottom: 1.6rem; }
html { color-scheme: light; }
blockquote { margin: .5rem 0; padding: .2rem .8rem; border-left: 4px solid #667; }
.bend { max-width: 560px; }
.over { border: 3px solid #a00; padding: .5rem; font-weight: bold; }
pre { white-space: pre-wrap; font-size: 11px; border: 1px solid #99a; padding: .5rem; }
.workshop { margin-top: 3rem; }
@media print {
  body { margin: 0; padding: 0; max-width: none; font-size: 11.5px; line-height: 1.3; }
  h1 { font-size: 20px; margin: 0 0 .4rem; } h2 { font-size: 15px; margin: .6rem 0 .2rem; }
  h2 { break-after: avoid; } ul { margin: .2rem 0; } .bend { max-width: 330px !important; }
  th, td { padding: .1rem .4rem; } li.blank { margin-bottom: .9rem; }
  .workshop { break-before: page; margin: 0; }
  .workshop, .workshop h2 { font-size: 9.5px; } .workshop h1 { font-size: 15px; }
  .workshop h2 { font-size: 11px; margin: .4rem 0 .1rem; }
  .workshop li.blank { margin-bottom: .7rem; }
  .small { columns: 2; font-size: 7.5px; line-height: 1.2; } pre { columns: 3; font-size: 6px; }
  pre { white-space: pre-wrap; line-height: 1.15; margin: 0; }
}
"""


def page(
    c: Carried,
    bend: str,
    units: ReaderUnits,
    *,
    text: str,
    spread: str = "",
    picture: str = "",
    words: str = "",
) -> str:
    """Write the page as HTML that needs nothing else: for people first, for the workshop after.

    Bend and spread, how far the answer may be off, are in words; `picture` is that of the bend,
    `words` are the owner's own. `text` is the scenario, on the second page with the names of its
    keys, so that nothing has to be typed again.
    """
    title = escape(f"For the fitter: {c.scenario.job.vehicle.name}")
    over = carried.over_words(c, units)
    notes = [in_units(note, units) for note in c.scenario.notes]
    parts = [
        f"<h1>{title}</h1>",
        f"<blockquote>{escape(words.strip())}</blockquote>" if words.strip() else "",
        f'<p class="over">OVER: {escape("; ".join(over))}. Take load off.</p>' if over else "",
        "<h2>The same bend, before and now</h2>",
        picture,
        _list(
            [
                f"In {bend}. {carried.headline(c)}",
                *(carried.tray_words(c), nearer.words(c), swerve_words(c.now.swerve), spread),
            ]
        ),
        "<h2>What is on it</h2>",
        _loads(c, units),
        "<h2>What the papers allow</h2>",
        _list([*(carried.rating_words(r, units) for r in c.now.ratings), carried.not_checked(c)]),
        "<h2>What adds how much lean</h2>",
        _table(carried.SHARE_HEADS, carried.share_rows(c)),
        f"<p>{escape(carried.SHARE_NOTE)}</p>",
        f"<h2>{BEFORE_USE}</h2>",
        _list((UP_HIGH, STEADY_BEND, LAW, carried.OTHER_CAUSES)),
        '<section class="workshop">',
        f"<h1>For the workshop: {escape(c.scenario.title)}</h1>",
        "<h2>What to measure</h2>",
        _list(MEASURE, blank=True),
        "<h2>What to measure underneath</h2>",
        _list(FITTER, blank=True),
        "<h2>Assumed, not measured</h2>",
        '<div class="small">',
        _list([in_units(line, units) for line in c.scenario.assumed] or ["nothing"]),
        "</div>",
        *(["<h2>Notes</h2>", '<div class="small">', _list(notes), "</div>"] if notes else []),
        "<h2>The scenario as text</h2>",
        f"<pre>{escape(text)}</pre>",
        "</section>",
    ]
    body = "\n".join(part for part in parts if part)
    return (
        f'<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8"><title>{title}</title>'
        f"<style>{_STYLE}</style></head><body>\n{body}\n</body></html>\n"
    )


def _list(lines: Sequence[str], *, blank: bool = False) -> str:
    """A list; with room to write under each line where something is to be filled in."""
    mark = ' class="blank"' if blank else ""
    return "<ul>" + "".join(f"<li{mark}>{escape(line)}</li>" for line in lines if line) + "</ul>"


def _loads(c: Carried, units: ReaderUnits) -> str:
    rows = [
        (
            load.name,
            f"{figure(load.mass, units.mass)} {units.mass}",
            carried.PLACES[load.place],
            f"{figure(load.height, units.length)} {units.length}",
        )
        for load in c.case.loads
    ]
    heads = ("thing", "weight", "where", "height of its middle")
    return (_table(heads, rows) or "<p>Nothing is carried.</p>") + _changes(c, units)


def _changes(c: Carried, units: ReaderUnits) -> str:
    """Lift and tyres that are on it."""
    change = c.scenario.job.change
    sizes = {
        "suspension lift in front": change.suspension_lift_front,
        "suspension lift behind": change.suspension_lift_rear,
        "body lift": change.body_lift,
        "larger tyres, on the radius": change.tyre_radius,
    }
    said = [
        f"{words}: {figure(size, units.length)} {units.length}"
        for words, size in sizes.items()
        if size
    ]
    return _list(said) if said else ""


def _table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    if not rows:
        return ""
    lines = [
        "".join(f"<th>{escape(word)}</th>" for word in heads),
        *("".join(f"<td>{escape(cell)}</td>" for cell in row) for row in rows),
    ]
    return "<table>" + "".join(f"<tr>{line}</tr>" for line in lines) + "</table>"
