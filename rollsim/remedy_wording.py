"""What else helps, said in sentences, in the reader's units."""

from rollsim.reader_units import ReaderUnits, with_unit
from rollsim.remedies import Remedy, RemedyKind, RemedyStep
from rollsim.sizing import Candidate
from rollsim.wording import gap_words, section_words

HELP_TITLE = "What else would help, each with a bar that lasts and keeps the balance"
_THAT_IS_ALL = (
    RemedyKind.LOAD,
    RemedyKind.LIFT,
    RemedyKind.LINKS_OFF,
    RemedyKind.STEEL,
    RemedyKind.SECTION,
    RemedyKind.ARM,
)


def remedy_name(remedy: Remedy) -> str:
    """What is done, in a word or two."""
    return " and ".join(step.kind.value for step in remedy.steps)


def remedy_words(remedy: Remedy, units: ReaderUnits) -> str:
    """What is done, the bar to go with it, and what it brings: a sentence without its full stop."""
    done = ", and ".join(_step_words(step, remedy, units) for step in remedy.steps)
    lean, gap = with_unit(remedy.roll_gradient, "deg/g"), gap_words(remedy.gap_closed)
    if remedy.bar is None:
        return f"{done}: {lean} without a new rear bar, which is enough{_springs(remedy)}"
    end = "which is enough" if remedy.accepted else f"not enough{_end(remedy)}"
    with_bar = f"with {_bar(remedy, remedy.bar, units)}"
    return f"{done}, {with_bar}: {lean}, {gap}, {end}{_springs(remedy)}"


def _bar(remedy: Remedy, bar: Candidate, units: ReaderUnits) -> str:
    """Section and hole: the steel is the one at hand, or named as the thing that changes.

    Of a shelf, which has several, the part, or all that has to be known to buy one.
    """
    hole = f"in the {with_unit(bar.lever, units.length)} hole"
    part = "" if bar.part is None else f" (part {bar.part.part})"
    is_named = any(step.kind is RemedyKind.STEEL for step in remedy.steps)
    steel = f" of {bar.steel.name}" if remedy.to_buy and not is_named else ""
    end = ", to be bought" if remedy.to_buy else ""
    return f"{section_words(bar.section, units)}{steel} {hole}{part}{end}"


def _end(remedy: Remedy) -> str:
    """That more of it was not counted, where there could be more."""
    more = any(step.kind not in _THAT_IS_ALL for step in remedy.steps)
    return ", and more of it makes no sense" if more else ""


def _springs(remedy: Remedy) -> str:
    if remedy.springs_suited is None:
        return ""
    if remedy.springs_suited:
        return "; the springs still suit every state"
    return "; the springs then no longer suit every state: see Springs and weights"


_IN_WORDS = {
    RemedyKind.LINKS_OFF: "links taken off before it leaves the road, every time",
    RemedyKind.ARM: "arms with another hole",
    RemedyKind.SECTION: "another section",
}


def _step_words(step: RemedyStep, remedy: Remedy, units: ReaderUnits) -> str:
    match step.kind:
        case RemedyKind.LOAD if step.whole:
            return f'"{step.subject}" left at home'
        case RemedyKind.LOAD:
            return f'{with_unit(step.amounts[0], units.mass)} off "{step.subject}"'
        case RemedyKind.LIFT if step.whole:
            return "the suspension lift taken out"
        case RemedyKind.LIFT:
            front, rear = (with_unit(x, units.length) for x in step.amounts)
            return f"suspension lift lower by {front} front, {rear} rear"
        case RemedyKind.REAR_SPRINGS:
            return f"rear springs {step.amounts[0]:.2f} times as stiff (they raise no rating)"
        case RemedyKind.FRONT_BAR:
            more = with_unit(step.amounts[0], units.roll_stiffness)
            return (
                f"{more} more front bar (no part to order yet: sections listed under [front_bar] "
                "are sized with the rear one, for strength too)"
            )
        case RemedyKind.LIMIT_STRAPS:
            gap = with_unit(step.amounts[0], units.length)
            return f"limit straps that leave {gap} of droop at the strap, from as weighed"
        case RemedyKind.STEEL:
            return f"a stronger steel{f', {remedy.bar.steel.name}' if remedy.bar else ''}"
        case _:
            return _IN_WORDS[step.kind]
