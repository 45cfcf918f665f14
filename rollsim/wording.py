"""What a sizing says in sentences, in the reader's units: once for command, JSON and page."""

import math
from collections.abc import Sequence

from rollsim.bar import Section
from rollsim.cautions import BAR_CAUTIONS
from rollsim.mass import spoken
from rollsim.reader_units import NO_FIGURE, ReaderUnits, figure
from rollsim.roll import StateResult
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


def worse_words(
    sizing: Sizing, before: Sequence[StateResult], units: ReaderUnits
) -> tuple[str, ...]:
    """What the chosen bar costs.

    Parameters
    ----------
    sizing : Sizing
        The answer.
    before : sequence of StateResult
        Every state as it is.
    units : ReaderUnits
        For mass [kg or lb], lengths [mm or in] and rates.

    Returns
    -------
    tuple of str
        An item each; none where there is no choice.
    """
    c = sizing.choice
    if c is None:
        return ()
    empty = next(result for result in before if result.name == sizing.emptiest)
    emptiest, case = spoken(sizing.emptiest), spoken(sizing.case)
    lift = (_lift(empty.inner_rear_lift), _lift(c.inner_rear_lift))
    share = (empty.front_load_transfer_share, c.front_load_transfer_share)
    return (
        *_earlier_tipping(before, sizing.states),
        f"{emptiest}: the inner rear wheel lifts at {lift[1]}, without the new bar {lift[0]}",
        f"{emptiest}: front share of weight transfer falls from {share[0]:.3f} to {share[1]:.3f}",
        f"{emptiest}: change of understeer {_understeer(c.understeer_change_emptiest)}",
        f"{case}: change of understeer {_understeer(c.understeer_change)}",
        f"one wheel alone: rate up by {figure(c.one_wheel_rate_increase, units.rate)} {units.rate}",
        f"flex (articulation) lost: {_flex(c.articulation_lost, units)}",
        f"mass of the bar: {figure(c.mass, units.mass, 1)} {units.mass}",
    )


def _earlier_tipping(before: Sequence[StateResult], after: Sequence[StateResult]) -> list[str]:
    """States whose tipping point the bar lowers by what the table can show."""
    found = []
    for was, now in zip(before, after, strict=True):
        tips = figure(was.tip_over_threshold, "g"), figure(now.tip_over_threshold, "g")
        if now.tip_over_threshold < was.tip_over_threshold and tips[0] != tips[1]:
            found.append(f"{spoken(was.name)}: tipping point falls from {tips[0]} g to {tips[1]} g")
    return found


def _lift(value: float) -> str:
    """Wheel lift, or that the vehicle tips before it."""
    return f"{figure(value, 'g')} g" if math.isfinite(value) else "not before it tips"


def _understeer(value: float) -> str:
    text = figure(value, "deg/g", 3)
    if text == NO_FIGURE:
        return "has no figure: no rated_load of a tyre, or a wheel load outside 0.3 to 1.5 times it"
    sign = "" if value < 0.0 else "+"
    return f"{sign}{text} deg/g at 0.4 g (load transfer only, minus is towards oversteer)"


def _flex(value: float, units: ReaderUnits) -> str:
    if not math.isfinite(value):
        return "no figure, the rear bump_stop or rebound_limit is not given"
    return f"{figure(value, units.length)} {units.length} between the wheels at full axle twist"
