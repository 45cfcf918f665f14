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

SHOWN_FLEX = 0.0005  # m
LINEAR_DIFFERS = 0.05  # share by which linear and secant may differ without a word


def section_words(section: Section, units: ReaderUnits) -> str:
    """A section [mm or in] as the reader orders it: whole millimetres stay, whatever the units."""
    outer, wall = section.outer_diameter, section.wall
    half_millimetres = [2e3 * x for x in (outer, wall or 0.0)]
    if units.length == "mm" or all(abs(x - round(x)) < 1e-6 for x in half_millimetres):
        return section.label
    inches = f"{to_unit(outer, 'in'):.3f}"
    return f"{inches} in solid" if wall is None else f"{inches} x {to_unit(wall, 'in'):.3f} in"


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
        case ObjectionKind.UNRESOLVED:
            return "a path to wheel lift or tipping was not resolved, so the bar cannot be judged"
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
    now = f'"{spoken(sizing.case)}" {_leans(sizing.present)}'
    choice, stiffness = sizing.choice, sizing.required_roll_stiffness
    if choice is not None:
        return (
            f"Fit {bar_words(choice, units)}: {now} as it is and "
            f"{figure(choice.roll_gradient, 'deg/g')} deg/g with the bar, for {goal}; "
            f"{_strength(choice)}."
        )
    if stiffness == math.inf and sizing.at is None and sizing.candidates[0].lash_angle > 0.0:
        return (
            f"No rear bar can reach {goal}: at straight ahead a bar with lash does nothing; "
            'measure the target at an acceleration instead, such as at = "0.4 g".'
        )
    if stiffness == math.inf:
        return (
            f"No rear bar can reach {goal}: {now}, and at the least, however stiff the bar, it "
            f"{_leans(sizing.limit)}."
        )
    if stiffness == 0.0:
        bare = f'"{spoken(sizing.case)}" {_leans(sizing.bare)} without any'
        return f"No rear bar is needed: {bare}, for {goal}."
    if sizing.gate is not None:
        return (
            f"No bar is accepted for {goal}: the balance of the empty vehicle forbids those that "
            f"are stiff enough; {now}."
        )
    return (
        f"None of the bars at hand is accepted for {goal}, which needs "
        f"{figure(stiffness, units.roll_stiffness)} {units.roll_stiffness}; {now}. Try other "
        "sections, holes or steel."
    )


def _leans(gradient: float) -> str:
    if not math.isfinite(gradient):
        return "tips before its lean can be measured"
    return f"leans {figure(gradient, 'deg/g')} deg/g"


def _strength(choice: Candidate) -> str:
    safety = f"safety factor {choice.safety_factor:.2f}"
    if math.isfinite(choice.twist_stress):
        return safety
    return f"{safety} in the bend alone, axle twist not checked: give the rear stops"


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
    text = f"Balance: the rear bar that the target needs {why} when the vehicle is empty."
    largest = gate.largest_passing
    if largest is not None:
        text += (
            f" The largest bar that passes is {bar_words(largest, units)}: lean per g "
            f"{figure(largest.roll_gradient, 'deg/g')} deg/g."
        )
    unit = units.roll_stiffness
    if math.isfinite(gate.front_bar_to_pass):
        text += (
            f" The bar that it needs and {figure(gate.front_bar_to_pass, unit)} {unit} more front "
            f"bar would pass with the target kept at {figure(sizing.target, 'deg/g')} deg/g: type "
            "that number as the target, add the bar in front and size again."
        )
    else:
        text += " No front bar would make it pass."
    if math.isfinite(gate.front_bar_stiffness) and gate.front_bar_stiffness > 0.0:
        text += (
            " To restore the share in full would take "
            f"{figure(gate.front_bar_stiffness, unit)} {unit}."
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
    amount, enough = help_.amount, "would meet the target"
    nothing = 1.0 if help_.kind is HelpKind.REAR_SPRINGS else 0.0
    if math.isnan(amount) and help_.amount_any_bar > nothing:
        amount, enough = help_.amount_any_bar, "would do only with a far stiffer rear bar"
    none = math.isnan(amount)
    left = f"even with all of it the vehicle {_leans(help_.remaining)}"
    match help_.kind:
        case HelpKind.LOAD:
            whole = f"{figure(help_.whole[0], units.mass)} {units.mass}"
            if none:
                return f'taking "{help_.subject}" ({whole}) off is not enough: {left}'
            off = figure(amount, units.mass)
            return f'taking {off} of {whole} off "{help_.subject}" {enough}'
        case HelpKind.LIFT:
            if none:
                return f"taking the suspension lift out is not enough: {left}"
            front, rear = (figure(amount * x, units.length) for x in help_.whole)
            unit = units.length
            return f"a suspension lift lower by {front} {unit} front, {rear} {unit} rear {enough}"
        case HelpKind.LOAD_AND_LIFT:
            both = _both_words(help_, units, 1.0 if none else amount)
            return f"{both} are not enough: {left}" if none else f"{both} {enough}"
        case HelpKind.REAR_SPRINGS:
            most = f"{help_.whole[0]:.0f} times as stiff"
            failing = f"stiffer rear springs, up to {most}, are not enough: {left}"
            return failing if none else _springs_words(amount, enough)
        case HelpKind.FRONT_BAR:
            unit = units.roll_stiffness
            if none:
                most = f"{figure(help_.whole[0], unit)} {unit}"
                return f"a stiffer front bar, up to {most} more, is not enough: {left}"
            return f"at least {figure(amount, unit)} {unit} more front bar {enough}"


def _springs_words(times: float, enough: str) -> str:
    return (
        f"rear springs {times:.2f} times as stiff {enough}; empty they take from the front share "
        "as a bar does, and they raise no rating"
    )


def _both_words(help_: Help, units: ReaderUnits, share: float) -> str:
    """A share [-] of load and lift taken away together."""
    off, front, rear = (share * part for part in help_.whole)
    unit = units.length
    return (
        f'both together, {figure(off, units.mass)} {units.mass} off "{help_.subject}" and a '
        f"suspension lift lower by {figure(front, unit)} {unit} front, {figure(rear, unit)} {unit} "
        "rear,"
    )


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
    return (*_of_the_choice(sizing, units), *_curved(sizing), *BAR_CAUTIONS)


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
        f"{emptiest}: change of understeer {_understeer(c.understeer_change_emptiest, sizing)}",
        f"{case}: change of understeer {_understeer(c.understeer_change, sizing)}",
        f"one wheel alone: rate up by {figure(c.one_wheel_rate_increase, units.rate)} {units.rate}",
        f"flex (articulation) lost: {_flex(c.articulation_lost, units)}",
        f"mass of the bar: {figure(c.mass, units.mass, 1)} {units.mass}",
    )


def _earlier_tipping(before: Sequence[StateResult], after: Sequence[StateResult]) -> list[str]:
    """States whose tipping point the bar lowers by what the table can show, like ones together."""
    found: dict[str, list[str]] = {}
    for was, now in zip(before, after, strict=True):
        tips = figure(was.tip_over_threshold, "g"), figure(now.tip_over_threshold, "g")
        if now.tip_over_threshold < was.tip_over_threshold and tips[0] != tips[1]:
            words = f"tipping point falls from {tips[0]} g to {tips[1]} g"
            found.setdefault(words, []).append(spoken(was.name))
    return [f"{', '.join(names)}: {words}" for words, names in found.items()]


def _lift(value: float) -> str:
    """Wheel lift, or that the vehicle tips before it."""
    return f"{figure(value, 'g')} g" if math.isfinite(value) else "not before it tips"


def _understeer(value: float, sizing: Sizing) -> str:
    text = figure(value, "deg/g", 3)
    if text == NO_FIGURE:
        if not sizing.tyres_rated:
            return "has no figure: give the rated_load of the tyres"
        return "has no figure: a wheel load at 0.4 g is outside 0.3 to 1.5 times its rated load"
    sign = "" if value < 0.0 else "+"
    return f"{sign}{text} deg/g at 0.4 g (load transfer only, minus is towards oversteer)"


def _flex(value: float, units: ReaderUnits) -> str:
    if not math.isfinite(value):
        return "no figure, the rear bump_stop or rebound_limit is not given"
    if value < SHOWN_FLEX:
        return "none, the stops limit the axle's twist before a wheel lifts"
    return f"{figure(value, units.length)} {units.length} between the wheels at full axle twist"
