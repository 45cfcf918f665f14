"""What a sizing says in sentences, in the reader's units: once for command, JSON and page."""

import math
from collections.abc import Sequence

from rollsim.bar import Section, ShelfPart
from rollsim.cautions import BAR_CAUTIONS, STIFFER_FRONT
from rollsim.mass import UNLADEN, spoken
from rollsim.reader_units import NO_FIGURE, ReaderUnits, figure, in_units, with_unit
from rollsim.sizing import Candidate, Objection, ObjectionKind, Obstacle, Pair, Sizing
from rollsim.sizing.acceptance import (
    CLOSE,
    in_its_softest_hole,
    only_in_its_softest_hole,
    softest_accepted_hole,
    stopped_by,
)
from rollsim.units import to_unit
from rollsim.vehicle import Job

RANKING_WORDS = (
    "Order: accepted bars first, the nearest to the target on top. Of those within "
    f"{CLOSE:g} % of the nearest, bars that also pass one hole up and one hole down come first, so "
    "that a road test can trim them, then the softer ones."
)
_PROVISIONAL = "Provisional"
HOW_TO_ASK = 'Ask for less in the file: roll_gradient = "10 % less than now" under [target].'
_LEAST_SURE, _MOST_SURE = 0.05, 0.95  # of cases: samples and spreads tell no more
_SURE_ENOUGH = 0.80  # of cases: with fewer the answer says so
LINEAR_DIFFERS = 0.05  # share by which linear and secant may differ without a word


def section_words(section: Section, units: ReaderUnits) -> str:
    """A section as it is ordered: whole millimetres stay, with the reader's size beside them."""
    outer, wall = section.outer_diameter, section.wall
    if units.length == "mm":
        return section.label
    sizes = [f"{to_unit(x, 'in'):.3f}" for x in (outer, wall) if x is not None]
    half_millimetres = [2e3 * x for x in (outer, wall or 0.0)]
    if all(abs(x - round(x)) < 1e-6 for x in half_millimetres):
        return f"{section.label} ({' x '.join(sizes)} in)"
    inches = sizes[0]
    return f"{inches} in solid" if wall is None else f"{inches} x {to_unit(wall, 'in'):.3f} in"


def bar_words(c: Candidate, units: ReaderUnits) -> str:
    """Section, steel and hole [mm or in] of a candidate, and its part number on the shelf."""
    hole = f"{figure(c.lever, units.length)} {units.length}"
    part = "" if c.part is None else f" (part {c.part.part})"
    return f"{section_words(c.section, units)} of {c.steel.name} in the {hole} hole{part}"


def price_words(part: ShelfPart) -> str:
    """What a bar of the shelf costs, in its own currency: nothing is converted."""
    return NO_FIGURE if part.price is None else f"{part.price:.2f} {part.currency}"


def part_words(part: ShelfPart) -> str:
    """What a bar of the shelf costs and when it is here, a sentence."""
    price = "no price on the list" if part.price is None else price_words(part)
    if part.weeks is None:
        return f"Part {part.part}: {price}."
    weeks = f"{part.weeks:g} week{'' if part.weeks == 1.0 else 's'} to get it"
    return f"Part {part.part}: {price}, {weeks if part.weeks else 'on the shelf'}."


def objection_words(objection: Objection, bar: Candidate) -> str:
    """Why a candidate is not accepted, in half a sentence; accelerations in [g]."""
    value, limit = objection.value, objection.limit
    match objection.kind:
        case ObjectionKind.NOTHING_TO_BRING_BACK:
            return "there is nothing to bring back"
        case ObjectionKind.TIPS:
            return "the loaded vehicle tips before the lean can be compared"
        case ObjectionKind.UNRESOLVED:
            return "a path to wheel lift or tipping was not resolved, so the bar cannot be judged"
        case ObjectionKind.LEAN:
            return f"lean per g is {value:.1%} above the target"
        case ObjectionKind.GAIN if value > 0.0:
            return f"it leans {value:.1%} more than now"
        case ObjectionKind.GAIN:
            return f"it leans {-value:.1%} less than now, and {-limit:.0%} is the least worth a bar"
        case ObjectionKind.STRENGTH:
            state = spoken(bar.governing_state)
            return f'safety factor {value:.3f} is below {limit:g} ("{state}")'
        case ObjectionKind.WHEEL_LIFT:
            return (
                f"empty, the inner rear wheel lifts at {figure(value, 'g', 3)} g, below "
                f"{figure(limit, 'g', 3)} g"
            )
        case ObjectionKind.FRONT_SHARE:
            return (
                f"empty, the front share of weight transfer falls by {value:.3f}, more than "
                f"{limit:.2f}"
            )


def reasons(bar: Candidate) -> list[str]:
    """Everything that stands against a candidate, half a sentence each; accelerations in [g]."""
    return [objection_words(objection, bar) for objection in bar.objections]


def _governing(bar: Candidate) -> str:
    """Where the stress is greatest."""
    return f'({bar.governing_case.value}, "{spoken(bar.governing_state)}")'


def choice_words(sizing: Sizing, units: ReaderUnits, *, doubt: str = "") -> str:
    """The answer: the choice with its `doubt`, or what is in the way and the best there is."""
    target = f"{figure(sizing.target, 'deg/g')} deg/g"
    goal = f"the target is {target}"
    now = f'"{spoken(sizing.case)}" {_leans(sizing.present)}'
    choice = sizing.choice
    if choice is not None:
        return (
            f"Fit {bar_words(choice, units)}. {f'{doubt} ' if doubt else ''}{now} now and "
            f"{figure(choice.roll_gradient, 'deg/g')} deg/g with the bar; {goal}. "
            f"{_strength(choice, sizing)}."
            f"{'' if choice.part is None else f' {part_words(choice.part)}'}"
        )
    if sizing.nothing_to_bring_back and sizing.new_front is not None:
        return (
            f"Order the new front bar: {in_units(sizing.new_front.words, units)}. With it {now}, "
            f"and {goal}, so no rear bar is ordered with it."
        )
    if sizing.nothing_to_bring_back:
        return (
            f"Nothing to bring back: {now} and {goal}, so no bar is ordered. If you want less "
            "lean, say how much less."
        )
    if not sizing.reachable and sizing.at is None and sizing.candidates[0].lash_angle > 0.0:
        return (
            f"No rear bar can reach the target of {target}: at straight ahead a bar with lash does "
            'nothing; measure the target at an acceleration instead, such as at = "0.4 g".'
        )
    return " ".join(none_words(sizing, units))


def none_words(sizing: Sizing, units: ReaderUnits) -> tuple[str, ...]:
    """Why no bar is chosen: the verdict, the best that can be had, what is in the way in figures.

    Paragraphs, for a sizing without a choice but with something to bring back.
    """
    goal = f"the target of {figure(sizing.target, 'deg/g')} deg/g"
    now = f'"{spoken(sizing.case)}" {_leans(sizing.present)}'
    first = f"No bar on the list is accepted for {goal}: {now} now."
    if not sizing.reachable:
        first = (
            f"No rear bar can reach {goal}: {now} now, and with the stiffest bar imaginable it "
            f"still {_leans(sizing.limit)}."
        )
    return first, best_words(sizing, units), " ".join(obstacle_words(sizing, units))


def provisional(words: str, assumed: Sequence[str]) -> str:
    """An answer, marked where it rests on values nobody measured."""
    return f"{_PROVISIONAL}: {words}" if assumed else words


def of_the_vehicle(assumed: Sequence[str]) -> tuple[str, ...]:
    """What is assumed of the vehicle itself, not of a bar to be made alone."""
    return tuple(line for line in assumed if not line.startswith("rear_bar."))


def answer_words(
    sizing: Sizing, units: ReaderUnits, *, assumed: Sequence[str] = (), doubt: str = ""
) -> tuple[str, ...]:
    """The whole answer: the condition first, the choice, what it does to the empty vehicle.

    In paragraphs. `assumed` are the inputs that nobody measured, `doubt` comes from `doubt_words`.
    """
    none = sizing.choice is None and not sizing.nothing_to_bring_back and sizing.in_the_way
    found = (
        condition_words(sizing) if sizing.choice is not None or sizing.best is not None else "",
        *(none_words(sizing, units) if none else (choice_words(sizing, units, doubt=doubt),)),
        new_front_words(sizing, units),
        warning_words(sizing, units),
    )
    first, *others = (words for words in found if words)
    return provisional(first, assumed), *others


def new_front_words(sizing: Sizing, units: ReaderUnits) -> str:
    """That the front bar among the changes is part of the order; empty where that is the answer."""
    new = sizing.new_front
    if new is None or sizing.nothing_to_bring_back:
        return ""
    with_it = "with it" if sizing.choice is not None else "whatever goes in at the rear"
    return f"Order the new front bar {with_it}: {in_units(new.words, units)}."


def warning_words(sizing: Sizing, units: ReaderUnits) -> str:
    """What the choice does to the empty vehicle, and whether it can be trimmed; else empty."""
    words = (share_words(sizing, units), driven_empty_warning(sizing), hole_words(sizing, units))
    return " ".join(filter(None, words))


def _leans(gradient: float) -> str:
    if not math.isfinite(gradient):
        return "tips before its lean can be measured"
    return f"leans {figure(gradient, 'deg/g')} deg/g"


def _strength(choice: Candidate, sizing: Sizing) -> str:
    safety = f"Safety factor {choice.safety_factor:.2f} {_governing(choice)}"
    return safety if sizing.stops_given else f"{safety}, no rear stops given"


def obstacle_words(sizing: Sizing, units: ReaderUnits) -> list[str]:
    """What is in the way of a sizing without a choice, shown by a bar; accelerations in [g]."""
    found = []
    for obstacle in sizing.in_the_way:
        bar = stopped_by(sizing.candidates, obstacle, sizing.target)
        if bar is not None:
            word = obstacle.value.capitalize()
            found.append(f"{word}: {_shown_by(obstacle, bar, units)}.")
    return found


def _shown_by(obstacle: Obstacle, bar: Candidate, units: ReaderUnits) -> str:
    section = f"{section_words(bar.section, units)} bar"
    hole = f"{with_unit(bar.lever, units.length)} hole"
    limits = {objection.kind: objection.limit for objection in bar.objections}
    match obstacle:
        case Obstacle.STRENGTH:
            return (
                f"{bar.governing_case.value} the {section} in the {hole} has safety factor "
                f"{bar.safety_factor:.2f} and needs {limits[ObjectionKind.STRENGTH]:g} "
                f'("{spoken(bar.governing_state)}")'
            )
        case Obstacle.BALANCE:
            return (
                f"with the {section} in the {hole} the empty vehicle's front share of weight "
                f"transfer falls by {bar.front_share_drop:.2f}, and "
                f"{limits[ObjectionKind.FRONT_SHARE]:.2f} is the most"
            )
        case Obstacle.WHEEL_LIFT:
            return (
                f"with the {section} in the {hole} the empty vehicle's inner rear wheel lifts at "
                f"{with_unit(bar.inner_rear_lift, 'g', 3)}, and "
                f"{with_unit(limits[ObjectionKind.WHEEL_LIFT], 'g', 3)} is the least"
            )
        case Obstacle.STIFFNESS:
            return (
                f"the stiffest on the list, the {section} in the {hole}, leaves "
                f"{with_unit(bar.roll_gradient, 'deg/g')}"
            )


def best_words(sizing: Sizing, units: ReaderUnits) -> str:
    """The best bar at hand, its lean [deg/g] and share of the gap [%], or that there is none."""
    best = sizing.best
    if best is None:
        if _balance_is_in_the_way(sizing):
            return f"No bar on the list lasts, keeps the balance and cuts the lean{_way(sizing)}."
        return f"No bar on the list lasts and cuts the lean{_way(sizing)}."
    return (
        f"The best that {_passes(sizing)} is {bar_words(best, units)}: it "
        f"{_leans(best.roll_gradient)} and closes {gap_words(sizing.gap_closed(best))}"
        f"{_way(sizing)}."
    )


def _way(sizing: Sizing) -> str:
    """What is in the way, by name."""
    names = " and ".join(obstacle.value for obstacle in sizing.in_the_way)
    return f"; in the way: {names}" if names else ""


def gap_words(share: float) -> str:
    """Share of the gap [-] in words."""
    return "an unknown part of the gap" if math.isnan(share) else f"{share:.0%} of the gap"


def _passes(sizing: Sizing) -> str:
    return "lasts and keeps the balance" if _balance_is_in_the_way(sizing) else "lasts"


def _balance_is_in_the_way(sizing: Sizing) -> bool:
    return any(o in sizing.in_the_way for o in (Obstacle.BALANCE, Obstacle.WHEEL_LIFT))


def condition_words(sizing: Sizing) -> str:
    """On which condition the bar lasts; empty where there is none. To stand in bold."""
    if not sizing.disconnected_off_road:
        return ""
    return (
        "ONLY if the links are taken off before the vehicle leaves the road: the bar is counted "
        f"for {figure(sizing.road_twist, 'deg', 0)}° of axle twist, as a road has (common "
        "practice, no source), and may break where the ground twists the axle more."
    )


def share_words(sizing: Sizing, units: ReaderUnits) -> str:
    """That the choice loads the rear more than its weight, and what avoids it; else empty."""
    choice, other = sizing.choice, sizing.stiffest_keeping_share
    if choice is None or not sizing.takes_front_below_its_weight:
        return ""
    text = (
        f"{_emptiest(sizing.emptiest)}, the front then takes "
        f"{choice.front_load_transfer_share:.0%} of the weight transfer and carries "
        f"{sizing.front_weight_share:.0%} of the weight: the rear lets go first (common "
        f"practice: keep it above){_towards_oversteer(choice)}."
    )
    if other is None:
        return f"{text} Every bar worth fitting does this."
    more = with_unit(other.roll_gradient - choice.roll_gradient, "deg/g")
    return (
        f"{text} The stiffest that does not is {bar_words(other, units)}: it "
        f"{_leans(other.roll_gradient)}, {more} more."
    )


def driven_empty_warning(sizing: Sizing) -> str:
    """Which limits of balance the choice does not keep when it is driven empty; else empty."""
    if sizing.choice is None or not sizing.against_driven_empty:
        return ""
    broken = " and ".join(
        objection_words(one, sizing.choice).removeprefix("empty, ")
        for one in sizing.against_driven_empty
    )
    softer = "try a softer hole first"
    if in_its_softest_hole(sizing.choice, sizing.candidates):
        softer = "there is no softer hole, so take a softer bar"
    return (
        f"Driven empty, with every change still on, {broken}. The bars are judged by "
        f'"{spoken(sizing.emptiest)}", which keeps within it: {softer}.'
    )


def _emptiest(name: str) -> str:
    """The emptiest state at the head of a sentence."""
    return f'{"Empty and stock" if name == UNLADEN else "Empty"} ("{spoken(name)}")'


def _towards_oversteer(choice: Candidate) -> str:
    """How far, where the tyres are rated; from load transfer alone."""
    change = choice.understeer_change_emptiest
    if not change < 0.0:
        return ""
    return f"; understeer falls by {with_unit(-change, 'deg/g')}"


def hole_words(sizing: Sizing, units: ReaderUnits) -> str:
    """Which hole to drive first, or that a drive cannot make it softer; else empty."""
    choice = sizing.choice
    if choice is not None and only_in_its_softest_hole(choice, sizing.candidates):
        return "It passes in its softest hole only: no road test can make it softer."
    first = drive_first(sizing)
    if first is None:
        return ""
    lean = figure(first.roll_gradient, "deg/g")
    return f"Drive its {with_unit(first.lever, units.length)} hole first ({lean} deg/g)."


def drive_first(sizing: Sizing) -> Candidate | None:
    """The choice in a softer hole that is accepted too, the softest; None where there is none."""
    if sizing.choice is None or not sizing.choice.accepted:
        return None
    first = softest_accepted_hole(sizing.choice, sizing.candidates)
    return None if first == sizing.choice else first


def chance_words(share: float, job: Job) -> str:
    """In how many cases [-] a bar reaches the target but for a tolerance; never all or none."""
    return f"In {_cases(share)} the lean per g is {_within(job)}{_moving(job)}."


def doubt_words(share: float | None, job: Job) -> str:
    """That the bar misses too often, by the share of cases that reach the target [-]; else empty.

    None: not known, which says nothing.
    """
    if share is None or share >= _SURE_ENOUGH:
        return ""
    return (
        f"It may not be enough: by the tolerances of the inputs only {_cases(share)} come to "
        f"{_within(job)}."
    )


def _cases(share: float) -> str:
    told = f"{100.0 * min(max(share, _LEAST_SURE), _MOST_SURE):.0f} % of cases"
    if share > _MOST_SURE:
        return f"over {told}"
    return f"under {told}" if share < _LEAST_SURE else told


def _within(job: Job) -> str:
    return f"at most {100.0 * job.limits.gradient_tolerance:.0f} % above the target"


def _moving(job: Job) -> str:
    """Why band and chance do not contradict each other: the target is no fixed figure."""
    if job.target.roll_gradient is not None:
        return ""
    what = "the unladen lean" if job.target.is_unladen else "a share of the lean now"
    return (
        f", and the target ({what}) moves with the same inputs: a vehicle that leans more than "
        "computed is allowed more too"
    )


def caution_words(sizing: Sizing, units: ReaderUnits) -> tuple[str, ...]:
    """What stands with every bar, and with this one; a sentence each."""
    return (
        *_of_the_choice(sizing, units),
        *_of_the_pair(sizing, units),
        *_curved(sizing),
        *BAR_CAUTIONS,
    )


def _curved(sizing: Sizing) -> list[str]:
    """States in which the lean does not grow evenly."""
    compared = [(sizing.case, sizing.present, sizing.linear_present)]
    if sizing.target_is_unladen:
        compared.insert(0, ("unladen", sizing.target, sizing.linear_target))
    if sizing.at is None:
        return []
    return [
        f"{spoken(name)}: lean per g is {figure(linear, 'deg/g')} deg/g at straight ahead and "
        f"{figure(secant, 'deg/g')} deg/g as the target measures it: a second stage, a stop or a "
        "lifting wheel changes the rate on the way."
        for name, secant, linear in compared
        if math.isfinite(secant) and abs(linear / secant - 1.0) > LINEAR_DIFFERS
    ]


def _fatigue(bar: Candidate, units: ReaderUnits) -> str:
    """That a bar may tire, or that nobody knows; empty where it does not."""
    fatigue, unit = bar.steel.fatigue_allowable, units.stress
    if fatigue is None:
        return "Fatigue not calculated: no fatigue strength is known for this steel."
    if bar.normal_stress > fatigue:
        return (
            f"The stress amplitude at 0.4 g, {figure(bar.normal_stress, unit)} {unit}, is above "
            f"the fatigue allowable of {figure(fatigue, unit)} {unit}."
        )
    return ""


def _understeer_unknown(sizing: Sizing) -> str:
    """That nobody knows what the choice does to understeer, and why; empty where it is known."""
    choice = sizing.choice
    if not math.isnan(choice.understeer_change + choice.understeer_change_emptiest):
        return ""
    why = "a wheel load at 0.4 g is far beyond what its tyre is rated for, or the vehicle tips."
    if not sizing.tyres_rated:
        why = "give the load that the tyres are rated for, front and rear (rated_load)."
    return f"Whether understeer falls is not known: {why}"


def _of_the_pair(sizing: Sizing, units: ReaderUnits) -> list[str]:
    pair = sizing.pair
    if not isinstance(pair, Pair):
        return [] if sizing.new_front is None else [f"With the new front bar: {STIFFER_FRONT}"]
    if pair.front_is_enough:
        said = _fatigue(pair.front, units)
        tired = [f"The new front bar: {said}"] if said else []
        return [f"With the new front bar: {STIFFER_FRONT}", *tired]
    bars = {"front": pair.front, "rear": pair.rear}
    said = ((end, _fatigue(bar, units)) for end, bar in bars.items())
    tired = [f"With both bars, the {end} one: {words}" for end, words in said if words]
    return [f"With both bars: {STIFFER_FRONT}", *tired]


def _of_the_choice(sizing: Sizing, units: ReaderUnits) -> list[str]:
    choice = sizing.choice
    if choice is None:
        return []
    found = list(filter(None, [_fatigue(choice, units), _understeer_unknown(sizing)]))
    if not sizing.stops_given:
        found.append(
            "The rear bump stop or rebound limit is not given: the bar is counted for the axle "
            "twist at which the lower wheel lifts, the most there can be."
        )
    return found
