"""What is said of a front bar, alone or with a rear one, in the reader's units."""

from rollsim.mass import spoken
from rollsim.reader_units import ReaderUnits
from rollsim.sizing import Candidate, NoPair, Pair, Sizing
from rollsim.tell.kinds import LEAN_PER_G
from rollsim.wording import bar_words, section_words

PAIR_TITLE, FRONT_TITLE = "Front and rear bar together", "A front bar alone"
HOW_TO_ASK_FOR_A_PAIR = (
    "To choose a front bar with the rear one, so that the front share does not fall, list sections "
    "under [front_bar]; the bar that is on has to stand under [front.bar] by its dimensions."
)
WHY_NO_REAR = (
    "No rear bar comes with it: with the front bar alone the lean is as near to the target as it "
    "has to be. A second bar would cost money and take grip from the rear for lean that nobody "
    "asked to lose."
)
_WHY_NONE = {
    NoPair.NOT_ASKED: "the file has no [front_bar] with sections to choose from",
    NoPair.NOTHING_TO_BRING_BACK: "there is nothing to bring back",
    NoPair.NO_STIFFER_REAR: (
        "no front bar on the list does it alone, and no rear bar on the list is stiffer than the "
        "one that is on"
    ),
    NoPair.LEAN: "no pair on the lists leans little enough",
    NoPair.SHARE: (
        "with every pair that leans little enough the front share of weight transfer, empty, is "
        "smaller than now"
    ),
    NoPair.WHEEL_LIFT: (
        "with every pair that leans little enough and keeps the front share the empty vehicle's "
        "inner rear wheel lifts too early"
    ),
    **{
        no: f"in every pair that leans little enough and keeps the front share {weak} is too weak"
        for no, weak in (
            (NoPair.FRONT_STRENGTH, "the front bar"),
            (NoPair.REAR_STRENGTH, "the rear bar"),
            (NoPair.STRENGTH, "one bar or the other"),
        )
    },
}


def pair_words(sizing: Sizing, units: ReaderUnits) -> tuple[str, ...]:
    """The two bars, what they do together and alone; or why there is none. In paragraphs.

    Empty where no pair was asked for and balance is in nobody's way.
    """
    pair = sizing.pair
    if isinstance(pair, Pair):
        more = WHY_NO_REAR if pair.front_is_enough else _alone(pair, units)
        return together_words(sizing, pair, units), more
    if pair is NoPair.NOT_ASKED:
        return (HOW_TO_ASK_FOR_A_PAIR,) if sizing.balance_is_in_the_way else ()
    if pair is NoPair.NOTHING_TO_BRING_BACK and sizing.new_front is not None:
        return ()  # it is the answer already
    return (f"No front and rear bar together: {_WHY_NONE[pair]}.",)


def pair_title(pair: Pair | NoPair) -> str:
    """What stands over the words on it."""
    return FRONT_TITLE if isinstance(pair, Pair) and pair.front_is_enough else PAIR_TITLE


def why_there_is_none(sizing: Sizing) -> str:
    """The reason, half a sentence; empty where there is a pair."""
    return "" if isinstance(sizing.pair, Pair) else _WHY_NONE[sizing.pair]


def why_no_pair(sizing: Sizing) -> list[str]:
    """The reason for a pair, or a rear bar of it, that is null."""
    pair = sizing.pair
    if not isinstance(pair, Pair):
        return [f"pair is null: {_WHY_NONE[pair]}"]
    why = "rear and rear_alone of the pair are null: the front bar alone does it"
    return [why] if pair.front_is_enough else []


def together_words(sizing: Sizing, pair: Pair, units: ReaderUnits) -> str:
    """The bars and what they do together, a paragraph."""
    front = f"{section_words(pair.front.section, units)} of {pair.front.steel.name}"
    which = f"Order a front bar alone, {front} in the shape of the one that is on: "
    safety = f"Safety factor {_safety(pair.front)}."
    if pair.rear is not None:
        which = (
            f"In front {front} in the shape of the bar that is on, at the rear "
            f"{bar_words(pair.rear, units)}: "
        )
        safety = f"Safety factor in front {_safety(pair.front)}, at the rear {_safety(pair.rear)}."
    return (
        f'{which}"{spoken(sizing.case)}" leans '
        f"{LEAN_PER_G.with_unit(pair.roll_gradient, units)}, for the target of "
        f"{LEAN_PER_G.with_unit(sizing.target, units)}; empty, the front takes "
        f"{pair.front_load_transfer_share:.0%} of the weight transfer, now {pair.share_now:.0%}. "
        f"{safety}"
    )


def _safety(bar: Candidate) -> str:
    where = f'{bar.governing_case.value}, "{spoken(bar.governing_state)}"'
    return f"{bar.safety_factor:.2f} ({where})"


def _alone(pair: Pair, units: ReaderUnits) -> str:
    bars = {"front": pair.front_alone, "rear": pair.rear_alone}
    return " ".join(
        f"The {end} bar alone: {LEAN_PER_G.with_unit(one.roll_gradient, units)}, front share "
        f"{one.front_load_transfer_share:.0%}."
        for end, one in bars.items()
    )
