"""What is said of front and rear bar together, in the reader's units."""

from rollsim.mass import spoken
from rollsim.reader_units import ReaderUnits
from rollsim.sizing import Candidate, NoPair, Pair, Sizing
from rollsim.sizing.pair import Alone
from rollsim.tell.kinds import LEAN_PER_G
from rollsim.wording import bar_words, section_words

PAIR_TITLE = "Front and rear bar together"
HOW_TO_ASK_FOR_A_PAIR = (
    "To choose a front bar with the rear one, so that the front share does not fall, list sections "
    "under [front_bar]; the bar that is on has to stand under [front.bar] by its dimensions."
)
_WHY_NONE = {
    NoPair.NOT_ASKED: "the file has no [front_bar] with sections to choose from",
    NoPair.NOTHING_TO_BRING_BACK: "there is nothing to bring back",
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
        found = _enough(sizing, pair), together_words(sizing, pair, units), _alone(pair, units)
        return tuple(filter(None, found))
    if pair is NoPair.NOT_ASKED:
        return (HOW_TO_ASK_FOR_A_PAIR,) if sizing.balance_is_in_the_way else ()
    return (f"No front and rear bar together: {_WHY_NONE[pair]}.",)


def why_there_is_none(sizing: Sizing) -> str:
    """The reason, half a sentence; empty where there is a pair."""
    return "" if isinstance(sizing.pair, Pair) else _WHY_NONE[sizing.pair]


def why_no_pair(sizing: Sizing) -> list[str]:
    """The reason for a pair that is null."""
    pair = sizing.pair
    return [] if isinstance(pair, Pair) else [f"pair is null: {_WHY_NONE[pair]}"]


def together_words(sizing: Sizing, pair: Pair, units: ReaderUnits) -> str:
    """The two bars and what they do together, a paragraph."""
    front = f"{section_words(pair.front.section, units)} of {pair.front.steel.name}"
    return (
        f"In front {front} in the shape of the bar that is on, at the rear "
        f'{bar_words(pair.rear, units)}: "{spoken(sizing.case)}" leans '
        f"{LEAN_PER_G.with_unit(pair.roll_gradient, units)}, for the target of "
        f"{LEAN_PER_G.with_unit(sizing.target, units)}; empty, the front takes "
        f"{pair.front_load_transfer_share:.0%} of the weight transfer, now {pair.share_now:.0%}. "
        f"Safety factor in front {_safety(pair.front)}, at the rear {_safety(pair.rear)}."
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


def _enough(sizing: Sizing, pair: Pair) -> str:
    """That one bar alone would do, where it would."""
    for end, other, one in (
        ("front", "rear", pair.front_alone),
        ("rear", "front", pair.rear_alone),
    ):
        if _does(sizing, pair, one):
            return f"The {end} bar alone does it: order the {other} one only for less lean still."
    return ""


def _does(sizing: Sizing, pair: Pair, one: Alone) -> bool:
    """One bar reaches the target and keeps the front share."""
    keeps = one.front_load_transfer_share >= pair.share_now
    return keeps and one.roll_gradient <= sizing.target
