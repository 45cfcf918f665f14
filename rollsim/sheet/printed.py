"""The job sheet as one HTML file that asks for nothing from outside and prints on two pages.

A third is on wheels and dampers, where these are given.
"""

from dataclasses import replace
from datetime import date
from enum import Enum
from functools import cache
from pathlib import Path

from rollsim.reader_units import METRIC, ReaderUnits
from rollsim.record import embed_job
from rollsim.scenario import Source
from rollsim.scenario.embedded import embed
from rollsim.sheet import facts, marked, order, pictures, words
from rollsim.sheet.kept import kept
from rollsim.sheet.lift import LiftSheet, is_of_lift, lift_sheet
from rollsim.sheet.work import Work
from rollsim.sizing import Pair
from rollsim.tell.names import WHEELS, clean, driven_empty_words, state_words
from rollsim.tolerance import bar_shifting, drawn_keys
from rollsim.wording import chance_words, doubt_words

ROWS, SMALLER, SMALLEST = 13, 0.025, 0.77  # loads and states at full size; less type a row more
PAIR_ROWS, TOLD_ROWS = 8, 2  # that a second bar takes, and one that is only told of
LONGEST_FOOT = 60  # characters of the vehicle's name at the foot of a page
_TEMPLATES = Path(__file__).parent / "templates"


class Paper(Enum):
    """What it is printed on."""

    A4 = "a4"
    LETTER = "letter"


_FULL = {Paper.A4: 0.95, Paper.LETTER: 0.93}  # of the type in job.css: wide fonts fit as well


def job_sheet(
    work: Work,
    source: Source,
    *,
    day: date,
    version: str,
    units: ReaderUnits = METRIC,
    paper: Paper = Paper.A4,
    shop: str = "",
    time: str = "",
) -> str:
    """Write the job sheet as HTML without a script; `rollsim.scenario.load` reads it back.

    `source` is the scenario of `work` as text, and is put into the file, as is what the shop's
    record keeps. Inputs stay as they were typed, whatever the units. `shop` is how well the shop's
    predictions came true, for beside the bands; `time` of day is ISO, for the record alone.
    """
    from markupsafe import Markup

    job = work.scenario.job
    views = tuple(Markup(drawn) for drawn in pictures.views(work, units))
    return _template().render(
        size=paper.value,
        foot=_css(f"{clean(job.vehicle.name)[:LONGEST_FOOT]}, {day.isoformat()}"),
        embedded=Markup(embed(source)),
        kept=Markup(embed_job(kept(work, day=day, version=version, time=time))),
        shop=shop,
        measured_after=_measured_after(work),
        file_name=clean(source.name),
        case=state_words(work.case),
        title=clean(work.scenario.title),
        vehicle=clean(job.vehicle.name),
        day=day.isoformat(),
        version=clean(version),
        units=units,
        over=facts.over(work, units),
        customer=words.customer_line(work),
        strong=words.in_bold(work, units),
        answer=words.answer(work, units),
        warned=words.warned(work, units),
        views=views,
        curves=Markup(pictures.curves(work)),
        bend=pictures.bend_words(work),
        leans=facts.leans(work),
        leans_note=_leans_note(work),
        drive=words.drive(work),
        bar=work.bar,
        is_order=work.is_order,
        of_two=work.is_of_two,
        order_title=words.order_title(work),
        with_bar=words.with_words(work),
        order=order.rows(work, units),
        plans=tuple(Markup(drawn) for drawn in order.drawings(work, units)),
        worse=words.worse(work, units),
        scale=_scale(work, paper, warned=len(words.warned(work, units))),
        fitting=words.fitting(work, units),
        after_lift=words.after_lift(job.change),
        wheels=WHEELS,
        scales=facts.scales(source.text),
        states=facts.states_named(work),
        compared=facts.states_named(work, figures=True),
        empty_is=driven_empty_words([one.name for one in work.before]),
        ratings=facts.ratings(source.text, work, units),
        not_rated=facts.not_rated(work),
        loads=facts.loads(source.text, work),
        figures=facts.states(work, units),
        springs=facts.springs(work, units),
        groups=marked.groups(source.text, work.scenario.assumed, lambda *key: not is_of_lift(*key)),
        lift=_of_lift(work, units),
        lift_groups=marked.groups(source.text, work.scenario.assumed, is_of_lift),
        legend=marked.legend(work.scenario.assumed),
        cautions=words.cautions(work, units),
        remarks=words.remarks(work),
        signs=(words.FITTER_SIGNS, words.CUSTOMER_SIGNS, words.ENGINEER_SIGNS),
    )


def _of_lift(work: Work, units: ReaderUnits) -> LiftSheet | None:
    """The page on wheels and dampers, its pictures fit for the template."""
    from markupsafe import Markup

    found = lift_sheet(work, units)
    if found is None:
        return None
    wheels = tuple(replace(one, drawn=Markup(one.drawn)) for one in found.wheels)
    leaves = tuple(replace(one, drawn=Markup(one.drawn)) for one in found.leaves)
    return replace(found, wheels=wheels, dampers=Markup(found.dampers), leaves=leaves)


def _measured_after(work: Work) -> str:
    """What the file says that a test after the work read; else to be filled in."""
    tested = work.scenario.lean_after
    return "" if tested is None else words.degrees(tested.value)


def _css(text: str) -> str:
    """A text for a CSS string inside a `<style>`, each character but plain ones by its number."""
    return "".join(c if c.isascii() and c.isalnum() else f"\\{ord(c):06x}" for c in text)


def _scale(work: Work, paper: Paper, *, warned: int) -> float:
    """Smaller type where many loads, states and warnings would take a third page."""
    rows = len(work.scenario.job.loads) + 2 * len(work.springs) + 2 * warned
    if work.is_of_two:
        rows += PAIR_ROWS
    elif work.sizing is not None and isinstance(work.sizing.pair, Pair):
        rows += TOLD_ROWS
    return max(SMALLEST, _FULL[paper] - SMALLER * max(0, rows - ROWS))


def _leans_note(work: Work) -> str:
    """What the brackets hold, and how likely the bar lands."""
    if work.leans[0].before.within is None:
        return "No band: no input has a tolerance."
    known = work.scenario.tolerances
    drawn = len(drawn_keys(known)) + (len(bar_shifting(known)) if work.bar else 0)
    count = f"{drawn} of the {len(known)} tolerances that inputs have"
    note = f"In brackets: the band, nine cases of ten, from {count}."
    if work.pair is not None:
        note += " How well the new front bar's own size is known is not in it."
    if work.chance is not None and not doubt_words(work.chance, work.scenario.job):
        note += f" {chance_words(work.chance, work.scenario.job)}"
    return note


@cache
def _template() -> object:
    """The sheet's template; jinja2 is loaded only where a sheet is made."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    return Environment(
        loader=FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    ).get_template("job.html")
