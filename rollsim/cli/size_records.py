"""What `rollsim size --json` prints."""

from collections.abc import Sequence

from rollsim.bar import ShelfBar, ShelfPart
from rollsim.cli.records import state_notes, state_record, unique
from rollsim.cost_wording import BEYOND_RATED
from rollsim.mass import DRIVEN_EMPTY, not_checked
from rollsim.pair_wording import pair_words, why_no_pair
from rollsim.reader_units import METRIC
from rollsim.remedies import Remedy
from rollsim.remedy_wording import remedy_name, remedy_words
from rollsim.scenario import Scenario
from rollsim.sizing import Candidate, Pair, Sizing
from rollsim.tell.figures import Record, record, why_null
from rollsim.tell.kinds import LEAN_PER_G, LENGTH, RATIO
from rollsim.tell.of_bars import ALONE, BAR, PAIR, PART, SIZING
from rollsim.tell.of_cab_loss import CAB_LOSS, cab_loss_words
from rollsim.tolerance.cab_loss import loss_of_choice
from rollsim.wording import (
    caution_words,
    choice_words,
    condition_words,
    driven_empty_warning,
    hole_words,
    provisional,
    reasons,
    share_words,
)


def size_record(
    scenario: Scenario,
    sizing: Sizing,
    helps: Sequence[Remedy] = (),
    left_out: Sequence[str] = (),
    change: str = "",
) -> Record:
    """What `rollsim size --json` prints: target, candidates, choice, what to say beside them.

    `helps` is what else helps, where it was counted; `left_out` what could help and was not;
    `change` puts the pair into the file.
    """
    candidates = [candidate_record(candidate) for candidate in sizing.candidates]
    choice, loss = None, loss_of_choice(scenario.job, scenario.rear_bar, sizing)
    states = {result.name: state_record(result) for result in sizing.states}
    empty = states.pop(DRIVEN_EMPTY, None)  # beside the states of `rollsim roll`, which has it not
    if sizing.choice is not None:
        lost = {} if loss is None else record([CAB_LOSS], loss)
        choice = {**candidate_record(sizing.choice), **lost, "states": states}
    return {
        "case": sizing.case,
        "emptiest_state": sizing.emptiest,
        **record((f for f in SIZING.values() if f.name != "bare"), sizing),
        "reachable": bool(sizing.reachable),
        "nothing_to_bring_back": sizing.nothing_to_bring_back,
        "replaces": sizing.replaces,
        "sentence": provisional(choice_words(sizing, METRIC), scenario.assumed_of_rear),
        "candidates": candidates,
        "choice": choice,
        "driven_empty": empty,
        "in_the_way": [obstacle.value for obstacle in sizing.in_the_way],
        "best": _bar_and_gap(sizing, sizing.best),
        "stiffest_keeping_share": _bar_and_gap(sizing, sizing.stiffest_keeping_share),
        "pair": _pair_record(sizing, change),
        "new_front_bar": "" if sizing.new_front is None else sizing.new_front.words,
        "front_weight_share": RATIO.number(sizing.front_weight_share),
        "condition": condition_words(sizing),
        "warning": share_words(sizing, METRIC),
        "warning_driven_empty": driven_empty_warning(sizing),
        "remark": hole_words(sizing, METRIC),
        "lost_in_cab": cab_loss_words(loss),
        "what_else_helps": [_remedy_record(one) for one in helps],
        "what_else_not_counted": list(left_out),
        **record((SIZING["bare"],), sizing),
        "ratings_not_checked": list(not_checked(scenario.job)),
        "cautions": list(caution_words(sizing, METRIC)),
        "assumed": list(scenario.assumed),
        "measured": list(scenario.measured),
        "notes": unique(
            (
                *scenario.notes,
                *sizing_notes(sizing),
                *why_null(BAR.values(), sizing.candidates, " of a candidate"),
                *why_null(PART.values(), _parts(sizing), " of a part"),
                *state_notes(sizing.states),
            )
        ),
    }


def candidate_record(candidate: Candidate) -> Record:
    """One section in one hole, which counts from 1: keys with their units, null without a value."""
    c, wall = candidate, candidate.section.wall
    return {
        "section": c.section.label,
        "outer_diameter_mm": LENGTH.number(c.section.outer_diameter),
        "wall_mm": None if wall is None else LENGTH.number(wall),
        "steel": c.steel.name,
        "hole": int(c.hole_number),
        **record(BAR.values(), c),
        "governing_state": c.governing_state,
        "governing_stress": c.governing_case.value,
        "accepted": bool(c.accepted),
        "reasons": reasons(c),
        "part": None if c.part is None else part_record(c.part),
    }


def part_record(part: ShelfPart) -> Record:
    """A part of the shelf: price in its own currency, null where the shelf does not say."""
    return {"number": part.part, **record(PART.values(), part), "currency": part.currency}


def _parts(sizing: Sizing) -> list[ShelfBar]:
    return [c.part for c in sizing.candidates if c.part is not None]


def sizing_notes(sizing: Sizing) -> list[str]:
    """A reason for every null of a sizing."""
    notes = [*why_null(SIZING.values(), (sizing,)), *why_no_pair(sizing)]
    if isinstance(sizing.pair, Pair):
        pair = sizing.pair
        bars = filter(None, (pair.front, pair.rear))
        notes += why_null(BAR.values(), tuple(bars), " of a bar of the pair")
        alone = filter(None, (pair.front_alone, pair.rear_alone))
        notes += why_null(ALONE.values(), tuple(alone), " of a bar of the pair alone")
    if any(c.tyres_beyond_relation for c in sizing.candidates):
        notes.append(
            f"change of understeer: with some bars a wheel load at 0.4 g is {BEYOND_RATED}, where "
            "the tyre relation is a guess"
        )
    return notes


def _bar_and_gap(sizing: Sizing, bar: Candidate | None) -> Record | None:
    """A bar that is not the choice, and how far it goes."""
    if bar is None:
        return None
    return {**candidate_record(bar), "gap_closed": RATIO.number(sizing.gap_closed(bar))}


def _pair_record(sizing: Sizing, change: str) -> Record | None:
    """Front and rear bar together, what each does alone, and the tables to paste."""
    pair = sizing.pair
    if not isinstance(pair, Pair):
        return None
    return {
        "front": candidate_record(pair.front),
        "rear": None if pair.rear is None else candidate_record(pair.rear),
        "front_bar_is_enough": pair.front_is_enough,
        **record(PAIR.values(), pair),
        "front_alone": record(ALONE.values(), pair.front_alone),
        "rear_alone": (
            None if pair.rear_alone is None else record(ALONE.values(), pair.rear_alone)
        ),
        "text": " ".join(pair_words(sizing, METRIC)),
        "change": change,
    }


def _remedy_record(remedy: Remedy) -> Record:
    return {
        "what": remedy_name(remedy),
        "text": remedy_words(remedy, METRIC),
        "change": remedy.change,
        "with": None if remedy.bar is None else candidate_record(remedy.bar),
        "roll_gradient_deg_per_g": LEAN_PER_G.number(remedy.roll_gradient),
        "gap_closed": RATIO.number(remedy.gap_closed),
        "accepted": remedy.accepted,
        "reaches_target": remedy.reaches,
        "springs_suited": remedy.springs_suited,
        "to_buy": remedy.to_buy,
    }
