"""Worksheets to print, one vehicle an apprentice, and their key as a document of its own."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import zip_longest
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from rollsim import mass, roll
from rollsim.cautions import LAW, STEADY_BEND, UP_HIGH
from rollsim.mass import AS_USED, UNLADEN, State
from rollsim.reader_units import METRIC, ReaderUnits
from rollsim.roll import StateResult
from rollsim.teaching import at_rest, class_code, hand, questions, raised, ride_height, slips
from rollsim.teaching.board import CARRIED, Board, Of, Part, Step
from rollsim.teaching.hand import HandNumbers
from rollsim.teaching.stages import Stage
from rollsim.teaching.working import model_gradient, moved, written
from rollsim.tell.names import state_words
from rollsim.vehicle import Axle, Job, Load

_TEMPLATES = Path(__file__).parent / "templates"
MORE = 1.1  # what the question in words adds
CAUTION = f"{UP_HIGH} {STEADY_BEND} {LAW}"


class WrongPassphrase(ValueError):
    """The passphrase is not the one that the class code was made with."""


@dataclass(frozen=True, slots=True)
class Given:
    """A row of the vehicle's numbers: one for the vehicle, or front and rear."""

    shop: str
    iso: str
    front: str
    rear: str = ""


@dataclass(frozen=True, slots=True)
class Section:
    """A part of the working."""

    title: str
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class WrongAnswer:
    """A figure, and the slip that it comes from."""

    figure: str
    words: str


@dataclass(frozen=True, slots=True)
class Further:
    """A further question, the lines that answer it, and where other answers come from.

    `model` is what the full model says to it, on a key alone.
    """

    title: str
    words: str
    unit: str
    steps: tuple[Step, ...]
    slips: tuple[WrongAnswer, ...]
    model: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything on a worksheet and its key, as text.

    `by_hand` and `model` are lean per g; the question is in words, and `answer` has the figures
    behind it. `more` are numbers for the further questions alone. A sheet of the vehicle in work
    has no class code, and the number 0.
    """

    code: str
    number: int
    title: str
    whose: str
    given: tuple[Given, ...]
    parts: tuple[Section, ...]
    by_hand: str
    model: str
    question: str
    answer: str
    slips: tuple[WrongAnswer, ...]
    more: tuple[Given, ...]
    questions: tuple[Further, ...]


def sheet(
    job: Job, code: str, number: int, *, units: ReaderUnits = METRIC, for_key: bool = False
) -> Sheet:
    """What stands on one apprentice's worksheet and key.

    The vehicle of `job` is varied; apprentices are numbered from 1. What the full model says to
    the further questions is worked out `for_key` alone: it takes longer than all the rest.
    """
    own, loaded = class_code.exercise(job, code, number), class_code.loaded(job, code, number)
    found = _sheet(own, UNLADEN, units)
    model = roll.results(loaded, (), only=(AS_USED,))[0] if for_key else None
    more = tuple(row for row in given(loaded, AS_USED, units) if row not in found.given)
    return replace(
        found,
        code=code,
        number=number,
        title=f"Sheet {number}",
        whose=f"Class {code}",
        more=more,
        questions=_further(loaded, AS_USED, units, model=model),
    )


def _sheet(job: Job, name: str, units: ReaderUnits) -> Sheet:
    """Of any vehicle in any of its states."""
    numbers, board = hand.numbers_of(job, name), Board(units)
    by_hand = hand.solve(numbers)
    wrong = slips.figures(numbers, units)
    return Sheet(
        "",
        0,
        job.vehicle.name,
        f'Loaded "{state_words(name)}"',
        given(job, name, units),
        parts(written(job, name, by_hand, units=units)),
        board.write(by_hand.roll_gradient, Of.GRADIENT),
        board.write(model_gradient(job, name), Of.GRADIENT),
        *_in_words(board, numbers),
        tuple(WrongAnswer(board.write(x, Of.GRADIENT), m.value) for m, x in wrong.items()),
        (),
        _further(job, name, units),
    )


def _further(
    job: Job, name: str, units: ReaderUnits, *, model: StateResult | None = None
) -> tuple[Further, ...]:
    return tuple(
        Further(
            one.title,
            one.words,
            one.unit,
            one.steps,
            tuple(
                WrongAnswer(f"{x:.{one.decimals}f} {one.unit}", slip.value)
                for slip, x in one.slips.items()
            ),
            one.by_model(model, units) if model else "",
        )
        for one in questions.asked(job, name, units)
    )


def parts(found: Sequence[Step]) -> tuple[Section, ...]:
    """The steps of a working, each part together."""
    sections = ((part, tuple(s for s in found if s.part is part)) for part in Part)
    return tuple(Section(part.value, steps) for part, steps in sections if steps)


def one_page(job: Job, name: str, *, units: ReaderUnits = METRIC) -> str:
    """A worksheet with blanks of the vehicle in work, on one page.

    HTML that asks for nothing from outside; no answer stands in it. The name is as for
    `hand.find_state`.
    """
    whole = _sheet(job, name, units)
    lines = {step for part in whole.parts for step in part.steps}
    # With helper, offset and lift there is no room for the weight transfer, nor to ask twice.
    short = tuple(part for part in whole.parts if part.title != Part.TRANSFER.value)
    further = tuple(one for one in whole.questions if not lines.issuperset(one.steps))
    sheets = [replace(whole, parts=short, questions=further)]
    return _printed("worksheet.html", sheets, whole.title, units=units)


def worksheets(job: Job, code: str, numbers: Sequence[int], *, units: ReaderUnits = METRIC) -> str:
    """Worksheets with blanks, a page each.

    HTML that asks for nothing from outside; no answer stands in it. The vehicle of `job` is varied;
    apprentices are numbered from 1.
    """
    return _written("worksheet.html", job, code, numbers=numbers, units=units)


def key(
    job: Job,
    code: str,
    numbers: Sequence[int],
    *,
    passphrase: str,
    units: ReaderUnits = METRIC,
) -> str:
    """The key to the worksheets, for the trainer.

    HTML that asks for nothing from outside. Takes what `worksheets` took; raises WrongPassphrase if
    the code was made with another passphrase.
    """
    if not class_code.opens(code, passphrase):
        raise WrongPassphrase("passphrase: not the one that this class code was made with")
    return _written("key.html", job, code, numbers=numbers, units=units)


def _written(
    template: str, job: Job, code: str, *, numbers: Sequence[int], units: ReaderUnits
) -> str:
    for_key = template == "key.html"
    sheets = [sheet(job, code, n, units=units, for_key=for_key) for n in numbers]
    title = f"{'Key' if for_key else 'Worksheets'}, class {code}"
    return _printed(template, sheets, title, units=units)


def _printed(template: str, sheets: Sequence[Sheet], title: str, *, units: ReaderUnits) -> str:
    paper = "A4" if units.mass == METRIC.mass else "letter"
    return (
        _environment()
        .get_template(template)
        .render(sheets=sheets, title=title, caution=CAUTION, carried=CARRIED, paper=paper)
    )


def _in_words(board: Board, numbers: HandNumbers) -> tuple[str, str]:
    """A question on what counts squared, and what either change gives."""
    front, rear = numbers.axles
    stiffer = replace(numbers, front=front.with_springs(MORE))
    base, track = MORE * rear.spring_base, rear.track if rear.solid else MORE * rear.track
    wider = replace(numbers, rear=replace(rear, spring_base=base, track=track))
    words = (
        "10 % more spring rate at the front",
        f"10 % more {'spring base' if rear.solid else 'track'} at the rear",
    )
    told = (
        f"{text}: {board.write(hand.solve(changed).roll_gradient, Of.GRADIENT)}"
        for text, changed in zip(words, (stiffer, wider), strict=True)
    )
    return (
        f"What would lean it less: {words[0]}, or {words[1]}? Why?",
        f"By hand, {'; '.join(told)}.",
    )


@cache
def _environment() -> Environment:
    return Environment(
        loader=FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def given(job: Job, name: str, units: ReaderUnits = METRIC) -> tuple[Given, ...]:
    """The numbers that a working starts from.

    Those of the vehicle on the scales, then what is put on, taken off and lifted. The name is as
    for `hand.find_state`.
    """
    v, board, state = job.vehicle, Board(units), hand.find_state(job, name)
    w, masses = board.write, (v.front_axle_mass, v.rear_axle_mass)
    rows = [
        Given("wheelbase", "axle to axle", w(v.wheelbase, Of.LENGTH)),
        Given("CG height", "whole vehicle, above ground", w(v.cg_height, Of.LENGTH)),
        _pair(board, ("axle mass", "on the scales"), masses, kind=Of.MASS),
    ]
    kinds = [end.suspension.value.removesuffix(" axle") for end in (v.front, v.rear)]
    rows.append(Given("suspension", "kind of axle", f"front {kinds[0]}", f"rear {kinds[1]}"))
    numbers = hand.numbers_in(job, state)
    front, rear = mass.axles(job, state)
    for names, kind, read in _ROWS:
        values = (read(front), read(rear))
        if any(values):
            rows.append(_pair(board, names, values, kind=kind))
    springs = ("spring rate, one side", "solid axle: at the spring; independent: at the wheel")
    rates = (numbers.front.rate_as_weighed, numbers.rear.rate_as_weighed)
    rows.append(_pair(board, springs, rates, kind=Of.RATE))
    rows += _springs(board, job, numbers)
    on, off = moved(job, state)
    for words, loads in (("taken off", off), ("put on", on)):
        rows += [_load(board, load, words) for _, load in loads]
    rows += _aside(board, job, state, moved=(*off, *on)) if at_rest.off_centre(numbers) else []
    lifts, radius = hand.lifts(job, state), mass.raised(job, state)
    if any(lifts):
        ratios = (v.front.roll_centre_travel_ratio, v.rear.roll_centre_travel_ratio)
        follows = ("roll centre rises with the body by", "roll-centre travel ratio ρ")
        rows.append(_pair(board, ("lift", "suspension lift"), lifts, kind=Of.LENGTH))
        rows.append(_pair(board, follows, ratios, kind=Of.SHARE))
    if body := raised.body_lift(job, state):
        shop, high = "body lift", f"of this mass by {w(body, Of.LENGTH)}"
        rows.append(Given(shop, high, w(job.change.body_lift_mass, Of.MASS)))
    if radius:
        rows.append(Given("larger tyres", "more radius", w(radius, Of.LENGTH)))
    return tuple(rows)


def _load(board: Board, load: Load, words: str) -> Given:
    w = board.write
    where = f"{w(load.height, Of.LENGTH)} up, "
    where += f"{w(load.behind_front_axle, Of.LENGTH)} behind the front axle"
    if y := load.left_of_centreline:
        where += f", {w(abs(y), Of.LENGTH)} {'left' if y > 0.0 else 'right'}"
    return Given(f"{load.name}, {words}", where, w(load.mass, Of.MASS))


def _springs(board: Board, job: Job, numbers: HandNumbers) -> Iterable[Given]:
    """Stages of the springs, and the load that one states itself, where the working needs them."""
    v, w = job.vehicle, board.write
    sits = [axle.sits for axle in numbers.axles]
    axles = ((v.front, v.front_axle_mass), (v.rear, v.rear_axle_mass))
    own = [s and ride_height.own_load(*axle, s) for s, axle in zip(sits, axles, strict=True)]
    if any(own):
        names = ("what one spring carries there", "the spring's own load at the height as weighed")
        yield _either(names, [load and w(load, Of.FORCE) for load in own])
    for pair in zip_longest(*(s.told if s else () for s in sits)):
        names = ("helper, or bend in a measured spring", "second stage: rate k₂ that it adds")
        yield _either(names, [s and w(s.step, Of.RATE) for s in pair])
        names = ("it works below", "c, from the height as weighed")
        yield _either(names, [s and _from_weighed(board, s) for s in pair])


def _aside(board: Board, job: Job, state: State, *, moved: ride_height.Signed) -> Iterable[Given]:
    """What moves the CG off the centreline, as far as no other row tells it."""
    if left := job.vehicle.cg_left:
        names = ("it sits to the left", "CG left of the centreline, right negative")
        yield Given(names[0], names[1], board.write(left, Of.LENGTH))
    told = [load for _, load in moved]
    for _, load in ride_height.aside(job, state, moved=moved):
        if load not in told:
            yield _load(board, load, "on the scales")


def _from_weighed(board: Board, stage: Stage) -> str:
    way = "up" if stage.start < 0.0 else "down"
    return f"{board.write(abs(stage.start), Of.LENGTH)} {way}"


def _either(names: tuple[str, str], cells: Sequence[str | None]) -> Given:
    front, rear = (cell or "none" for cell in cells)
    return Given(*names, f"front {front}", f"rear {rear}")


def _pair(board: Board, names: tuple[str, str], values: tuple[float, float], *, kind: Of) -> Given:
    front, rear = (board.write(value, kind) for value in values)
    return Given(*names, f"front {front}", f"rear {rear}")


_ROWS: tuple[tuple[tuple[str, str], Of, Callable[[Axle], float]], ...] = (
    (("wheels, tyres and axle", "unsprung mass"), Of.MASS, lambda a: a.unsprung_mass),
    (("their height", "unsprung CG height"), Of.LENGTH, lambda a: a.unsprung_cg_height),
    (("track", "between tyre centres"), Of.LENGTH, lambda a: a.track),
    (
        ("spring base", "solid axle: between the springs; independent: the track"),
        Of.LENGTH,
        lambda a: a.spring_base,
    ),
    (("anti-roll bar", "roll stiffness"), Of.SHOP_STIFFNESS, lambda a: a.bar_roll_stiffness),
    (
        ("bush and leaf twist", "auxiliary roll stiffness"),
        Of.SHOP_STIFFNESS,
        lambda a: a.auxiliary_roll_stiffness,
    ),
    (("roll centre height", "above ground"), Of.LENGTH, lambda a: a.roll_centre_height),
    (("one tyre", "vertical rate"), Of.RATE, lambda a: a.tyre.vertical_rate),
)
