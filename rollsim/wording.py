"""What a sizing says in sentences, in the reader's units: once for command, JSON and page."""

import math

from rollsim.bar import Section
from rollsim.cautions import BAR_CAUTIONS
from rollsim.mass import spoken
from rollsim.reader_units import ReaderUnits, figure
from rollsim.sizing import Candidate, Help, HelpKind, Objection, ObjectionKind, Sizing
from rollsim.units import to_unit

LINEAR_DIFFERS = 0.05  # share by which linear and secant may differ without a word


def section_words(section: Section, units: ReaderUnits) -> str:
    """A section [mm or in] as the reader orders it."""
    if units.length == "mm":
        return section.label
    outer = f"{to_unit(section.outer_diameter, 'in'):.3f}"
    wall = section.wall
    return f"{outer} in solid" if wall is None else f"{outer} x {to_unit(wall, 'in'):.3f} in"


def bar_words(c: Candidate, units: ReaderUnits) -> str:
    """Section, steel and hole [mm or in] of a candidate."""
    hole = f"{figure(c.lever, units.length)} {units.length}"
    return f"{section_words(c.section, units)} of {c.steel.name} in the {hole} hole"


def objection_words(objection: Objection) -> str:
    """Why a candidate is not accepted; accelerations in [g].

    Parameters
    ----------
    objection : Objection
        With its value and the limit, SI.

    Returns
    -------
    str
        Half a sentence.
    """
    value, limit = objection.value, objection.limit
    match objection.kind:
        case ObjectionKind.TIPS:
            return "the loaded vehicle tips before the lean can be compared"
        case ObjectionKind.LEAN:
            word = "above" if value > 0.0 else "below"
            return f"lean per g is {abs(value):.1%} {word} the target"
        case ObjectionKind.STRENGTH:
            return f"safety factor {value:.3f} is below {limit:g}"
        case ObjectionKind.WHEEL_LIFT:
            return (
                f"empty, the inner rear wheel lifts at {figure(value, 'g', 3)} g, below "
                f"{figure(limit, 'g')} g"
            )
        case ObjectionKind.FRONT_SHARE:
            return (
                f"empty, the front share of weight transfer falls by {value:.3f}, more than "
                f"{limit:.2f}"
            )


def choice_words(sizing: Sizing, units: ReaderUnits) -> str:
    """The choice in one sentence, or why there is none.

    Parameters
    ----------
    sizing : Sizing
        The answer.
    units : ReaderUnits
        For lengths [mm or in] and roll stiffness.

    Returns
    -------
    str
        The sentence.
    """
    goal = f"the target of {figure(sizing.target, 'deg/g')} deg/g"
    now = f'"{spoken(sizing.case)}" leans {figure(sizing.present, "deg/g")} deg/g'
    if not math.isfinite(sizing.present):
        now = f'"{spoken(sizing.case)}" tips before its lean can be measured'
    choice, stiffness = sizing.choice, sizing.required_roll_stiffness
    if choice is not None:
        return (
            f"Fit {bar_words(choice, units)}: {now} as it is and "
            f"{figure(choice.roll_gradient, 'deg/g')} deg/g with the bar, for {goal}; "
            f"safety factor {choice.safety_factor:.2f}."
        )
    if stiffness == math.inf:
        return (
            f"No rear bar can reach {goal}: {now}, and {figure(sizing.limit, 'deg/g')} deg/g even "
            "with a rigid one."
        )
    if stiffness == 0.0:
        return f"No rear bar is needed: {now} as it is, for {goal}."
    if sizing.gate is not None:
        return f"No bar is accepted for {goal}: the balance gate binds; {now}."
    return (
        f"None of the bars at hand is accepted for {goal}, which needs "
        f"{figure(stiffness, units.roll_stiffness)} {units.roll_stiffness}; {now}. Try other "
        "sections, holes or steel."
    )


def gate_words(sizing: Sizing, units: ReaderUnits) -> str:
    """What the balance gate says; empty where it does not bind.

    Parameters
    ----------
    sizing : Sizing
        The answer.
    units : ReaderUnits
        For lengths [mm or in] and roll stiffness.

    Returns
    -------
    str
        Sentences.
    """
    gate = sizing.gate
    if gate is None:
        return ""
    why = f"takes {gate.share_drop:.2f} off the front share of weight transfer"
    if gate.lifts_early:
        why += f" and lifts the inner rear wheel at {figure(gate.inner_rear_lift, 'g')} g"
    text = f"Balance gate: the rear bar that the target needs {why} when the vehicle is empty."
    largest = gate.largest_passing
    if largest is not None:
        text += (
            f" The largest bar that passes is {bar_words(largest, units)}: lean per g "
            f"{figure(largest.roll_gradient, 'deg/g')} deg/g."
        )
    unit = units.roll_stiffness
    if math.isfinite(gate.front_bar_stiffness):
        text += (
            f" A front bar stiffer by {figure(gate.front_bar_stiffness, unit)} {unit} would "
            f"restore the share, one by {figure(gate.front_bar_to_pass, unit)} {unit} would bring "
            "its fall within the gate; size again with it."
        )
    return text


def help_words(help_: Help, units: ReaderUnits) -> str:
    """What else would help, with its figure.

    Parameters
    ----------
    help_ : Help
        One measure.
    units : ReaderUnits
        For mass [kg or lb], lengths [mm or in] and roll stiffness.

    Returns
    -------
    str
        A sentence without its full stop.
    """
    reach = "would bring the target within the reach of a rear bar"
    none = math.isnan(help_.amount)
    left = f"no rear bar alone would do: {figure(help_.remaining, 'deg/g')} deg/g with a rigid one"
    match help_.kind:
        case HelpKind.LOAD:
            whole = f"{figure(help_.whole[0], units.mass)} {units.mass}"
            if none:
                return f'even without "{help_.subject}" ({whole}) {left}'
            off = figure(help_.amount, units.mass)
            return f'taking {off} of {whole} off "{help_.subject}" {reach}'
        case HelpKind.LIFT:
            if none:
                return f"even without the suspension lift {left}"
            front, rear = (figure(help_.amount * x, units.length) for x in help_.whole)
            unit = units.length
            return f"a suspension lift lower by {front} {unit} front and {rear} {unit} rear {reach}"
        case HelpKind.REAR_SPRINGS:
            if none:
                return f"even with rear springs {help_.whole[0]:.0f} times as stiff {left}"
            return (
                f"rear springs {help_.amount:.2f} times as stiff {reach}; stiffer springs raise no "
                "rating"
            )
        case HelpKind.FRONT_BAR:
            unit = units.roll_stiffness
            if none:
                most = figure(help_.whole[0], unit)
                return f"even with {most} {unit} more front bar {left}"
            return f"at least {figure(help_.amount, unit)} {unit} more front bar {reach}"


def caution_words(sizing: Sizing, units: ReaderUnits) -> tuple[str, ...]:
    """What stands with every bar, and with this one.

    Parameters
    ----------
    sizing : Sizing
        The answer.
    units : ReaderUnits
        For stress [MPa or ksi].

    Returns
    -------
    tuple of str
        Sentences.
    """
    return (*BAR_CAUTIONS, *_curved(sizing), *_of_the_choice(sizing, units))


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


def _of_the_choice(sizing: Sizing, units: ReaderUnits) -> list[str]:
    choice, found = sizing.choice, []
    if choice is None:
        return found
    if choice.front_load_transfer_share < sizing.front_weight_share:
        found.append(
            f"With this bar the front takes {choice.front_load_transfer_share:.0%} of the weight "
            f"transfer and carries {sizing.front_weight_share:.0%} of the weight "
            f"({spoken(sizing.emptiest)}): the rear gives up grip first (common practice: keep "
            "the front share above)."
        )
    fatigue, unit = choice.steel.fatigue_allowable, units.stress
    if fatigue is None:
        found.append("Fatigue not calculated: no fatigue strength is known for this steel.")
    elif choice.normal_stress > fatigue:
        found.append(
            f"The stress amplitude at 0.4 g, {figure(choice.normal_stress, unit)} {unit}, is above "
            f"the fatigue allowable of {figure(fatigue, unit)} {unit}."
        )
    if math.isnan(choice.twist_stress):
        found.append(
            "Stress at full axle twist is not calculated: the rear bump stop or rebound limit is "
            "not given."
        )
    return found
