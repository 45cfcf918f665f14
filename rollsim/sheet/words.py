"""Sentences of the job sheet: for the customer, for the fitter's ticks, for who signs what."""

import math
from dataclasses import replace

from rollsim.cautions import AFTER_LIFT, EMPTY_AND_WET, ROLL_CAUTIONS, STIFFER_FRONT
from rollsim.cost_wording import worse_words
from rollsim.mass import AS_USED
from rollsim.pair_wording import pair_title, pair_words, together_words, why_there_is_none
from rollsim.reader_units import ReaderUnits, figure, with_unit
from rollsim.remedies import Remedy
from rollsim.remedy_wording import HELP_TITLE, remedy_words
from rollsim.road_wording import allowance_words
from rollsim.scenario.assumed import to_look_at
from rollsim.sheet.work import LEAN_AT, Lean, Work
from rollsim.sizing import NoPair, Pair, Sizing
from rollsim.tell.names import clean, state_words
from rollsim.tell.of_cab_loss import cab_loss_words
from rollsim.units import to_unit
from rollsim.vehicle import Change
from rollsim.wording import (
    answer_words,
    bar_words,
    caution_words,
    condition_words,
    doubt_words,
    drive_first,
    new_front_words,
    provisional,
    reasons,
    warning_words,
)

NO_MORE = "It does not let you carry more or corner faster."
DRIVE = (
    "One circle or bend on a closed, level area: three speeds, both ways, twice, each steady from "
    "straight to straight; load strapped down, a passenger recording. Or a lean test in the bay."
)
FITTING = (
    "links tightened at ride height, wheels on the ground",
    "bar and links clear of everything in full bump, droop and twist; hoses and cables too",
    "customer told how it behaves empty and in the wet",
)
FITTER_SIGNS = (
    "I measured or looked up the values marked M, to the tolerance beside them, and did the work "
    "that is ticked. Lean, stress and tipping figures are a prediction; I do not sign for them."
)
PLAIN_COST = "Empty and in the wet the tail slides earlier than before."
CUSTOMER_SIGNS = "I have read what gets worse and the cautions. I know that no rating is raised."
ENGINEER_SIGNS = "Where local codes ask for it: approved by a licensed engineer or inspector."


def degrees(value: float) -> str:
    """An angle [rad] as a phone shows it, one decimal."""
    return f"{figure(value, 'deg', 1)}°"


def shows(value: float) -> bool:
    """Whether an angle [rad] is more than 0.0° as `degrees` writes it."""
    return float(figure(abs(value), "deg", 1)) > 0.0


def with_words(work: Work) -> str:
    """With what is ordered."""
    return "with these bars" if work.is_of_two else "with this bar"


def order_title(work: Work) -> str:
    """What stands over the order."""
    if not work.is_order:
        return "No bar to order"
    which = "front and rear bar" if work.is_of_two else "front bar" if work.has_front else "bar"
    return f"The {which} to order"


def band_words(lean: Lean) -> str:
    """A lean [rad] with its band; what it is instead where the vehicle tips."""
    if not math.isfinite(lean.value):
        return "tips before"
    within = lean.within
    if within is None:
        return degrees(lean.value)
    low, high = figure(within.low, "deg", 1), figure(within.high, "deg", 1)
    if not math.isfinite(within.high):
        return f"{degrees(lean.value)} (from {low}; may tip)"
    return f"{degrees(lean.value)} ({low}–{high})"


def customer_line(work: Work) -> str:
    """The sheet's one line for the customer: plain words with this vehicle's lean."""
    loaded, empty = work.leans
    at = f"a brisk bend ({to_unit(LEAN_AT, 'g'):.1f} g)"
    named = "Loaded" if work.case == AS_USED else f'Loaded ("{state_words(work.case)}")'
    if not math.isfinite(loaded.before.value):
        line = f"{named} it tips before {at}: take load off."
        return f"{line} {_then(work)}{NO_MORE}" if loaded.after else f"{line} {NO_MORE}"
    bare = degrees(empty.before.value)
    if loaded.after is None:
        return (
            f"{named} it leans {band_words(loaded.before)} in {at}, empty {bare}. {_harder(work)}"
            "No bar is ordered here, and nothing on this sheet lets you carry more or corner "
            "faster."
        )
    line = f"{named} it leaned {degrees(loaded.before.value)} in {at}, empty {bare}. {_then(work)}"
    if not math.isfinite(loaded.after.value):
        return line.rstrip()
    return f"{line}{_harder(work)}{NO_MORE}"


def _then(work: Work) -> str:
    after = work.leans[0].after
    start = with_words(work).capitalize()
    if math.isfinite(after.value):
        return f"{start} it leans about {band_words(after)} there. "
    return f"{start} it tips there: do not fit {'them' if work.is_of_two else 'it'}. "


def _harder(work: Work) -> str:
    """The bend that an off-centre load or a track bar makes worse; empty where none is seen."""
    found, mean = work.harder, work.leans[0].before.value
    if found is None:
        return ""
    now = next(result for result in work.before if result.name == work.case)
    why = "Its load is off centre" if shows(now.static_lean) else "Left and right bends differ"
    if not math.isfinite(found.before):
        return f"{why}: in a {found.side} bend it tips there. "
    if degrees(found.before) == degrees(mean):
        return ""
    then = f", {with_words(work)} {degrees(found.after)}" if math.isfinite(found.after) else ""
    return f"{why}: in a {found.side} bend it leans {degrees(found.before)} from level{then}. "


def drive(work: Work) -> str:
    """Whether lean may be measured by a drive, and up to where, by the rule of the road test.

    No drive where the allowance is below 0.3 g, or not known.
    """
    rule = allowance_words(work.drive, work.case)
    return rule if work.drive.is_too_little else f"{rule} {DRIVE}"


def answer(work: Work, units: ReaderUnits) -> tuple[str, ...]:
    """Which bar or bars, or why there is none and what would help; the answer comes first."""
    return (*_which(work, units), *filter(None, [cab_loss_words(work.lost)]))


def _which(work: Work, units: ReaderUnits) -> tuple[str, ...]:
    sizing, bar = work.sizing, work.bar
    if sizing is None:
        return ("No bar was sized: the scenario has no [rear_bar].",)
    if work.pair is not None:
        first, *more = pair_words(sizing, units)
        first = provisional(first, work.scenario.assumed)
        condition = "" if work.bar is None else condition_words(sizing)
        return tuple(filter(None, (condition, first, *more)))
    if bar is not None and not bar.accepted:
        picked = (
            f"Picked by hand: {bar_words(bar, units)}. It is outside the limits of this program: "
            f"{'; '.join(reasons(bar))}."
        )
        return tuple(filter(None, (picked, new_front_words(sizing, units))))
    doubt = doubt_words(work.chance, work.scenario.job)
    assumed = work.scenario.assumed_of_rear
    found = answer_words(sizing, units, assumed=assumed, doubt=doubt)
    lines = [*found, *_instead(sizing, units)]
    if work.helps:
        lines.append(f"{HELP_TITLE}:")
        lines += [_help(one, units) for one in work.helps]
    return tuple(lines)


def _instead(sizing: Sizing, units: ReaderUnits) -> tuple[str, ...]:
    """The pair that could be ordered in place of the bar, or why there is none where asked for."""
    if sizing.pair is NoPair.NOT_ASKED or sizing.nothing_to_bring_back:
        return ()
    if isinstance(sizing.pair, Pair):
        return (
            f"{pair_title(sizing.pair)}, instead: {together_words(sizing, sizing.pair, units)}",
        )
    return pair_words(sizing, units)


def no_pair(work: Work) -> str:
    """Why no front and rear bar can be ordered together, half a sentence."""
    if work.sizing is None:
        return "found, but the scenario has no [rear_bar] to be sized"
    return f"found, but {why_there_is_none(work.sizing)}"


def worse(work: Work, units: ReaderUnits) -> tuple[str, ...]:
    """What gets worse with what is ordered, the plainest first."""
    if not work.is_order:
        return ()
    front = None if work.pair is None else work.pair.front
    fitted = replace(work.sizing, choice=work.bar, states=work.after)
    plain = STIFFER_FRONT if work.has_front else PLAIN_COST
    return (plain, *worse_words(fitted, work.before, units, front=front))


def _help(one: Remedy, units: ReaderUnits) -> str:
    return f"– {remedy_words(one, units)}"


def in_bold(work: Work, units: ReaderUnits) -> tuple[str, ...]:
    """Which paragraphs of the answer stand in bold: on what condition a bar lasts."""
    if work.sizing is None:
        return ()
    helps = (_help(one, units) for one in work.helps if one.on_condition)
    condition = condition_words(work.sizing)
    return (condition, provisional(condition, work.scenario.assumed_of_rear), *helps)


def warned(work: Work, units: ReaderUnits) -> tuple[str, ...]:
    """Which paragraphs of the answer stand in a box: what the bar does to the empty vehicle."""
    if work.bar is None or work.pair is not None:
        return ()
    return tuple(filter(None, (warning_words(work.sizing, units),)))


def cautions(work: Work, units: ReaderUnits) -> tuple[str, ...]:
    """What stands with the figures."""
    if not work.is_order:
        return ROLL_CAUTIONS
    of_the_order = work.sizing if work.pair else replace(work.sizing, pair=NoPair.NOT_ASKED)
    found = caution_words(of_the_order, units)
    # With a front bar it is the front that lets go sooner, which stands there.
    return tuple(one for one in found if not (work.has_front and one == EMPTY_AND_WET))


def remarks(work: Work) -> tuple[str, ...]:
    """Notes on the input, and what a reader must know of the states, like ones together."""
    found: dict[str, list[str]] = {}
    for result in work.after or work.before:
        for note in filter(_counts, result.notes):
            found.setdefault(note, []).append(state_words(result.name))
    of_states = [f"{', '.join(names)}: {note}" for note, names in found.items()]
    look = " ".join(to_look_at(work.scenario.assumed))  # one line: the sheet is two pages
    return tuple(clean(note) for note in (look, *work.scenario.notes, *of_states) if note)


def _counts(note: str) -> bool:
    """A wheel that does not lift before the vehicle tips stands in the table already."""
    return not note.startswith("inner ")


def after_lift(change: Change) -> tuple[str, ...]:
    """What to tick where the vehicle stands higher than it was made: lift, tyres [m]."""
    heights = (change.suspension_lift_front, change.suspension_lift_rear)
    return AFTER_LIFT if any((*heights, change.body_lift, change.tyre_radius)) else ()


def fitting(work: Work, units: ReaderUnits) -> tuple[str, ...]:
    """What the fitter ticks after fitting the bar; empty where none is ordered."""
    if work.bar is None:
        return FITTING if work.is_order else ()
    hole = with_unit(work.bar.lever, units.length)
    if not work.has_front and (first := drive_first(work.sizing)):
        hole += f" ({with_unit(first.lever, units.length)} for the first drive)"
    where = ", rear bar" if work.is_of_two else ""
    return (f"same hole on both sides{where}: {hole}", *FITTING)
