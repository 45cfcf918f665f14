"""What was probably meant by a key, a word or a quantity that cannot be read; for errors alone."""

import difflib
import re
from collections.abc import Callable, Iterable, Mapping

from rollsim.units import ALSO_READ_AS, TOLERANCE_SIGN, UNITS, Dimension, parse
from rollsim.vehicle import Suspension

NEAR = 0.7
"""Likeness (0 to 1) below which no key is suggested."""
_NEEDED_FIRST = 0.05  # a required key that is missing wins against one about as near

LONGEST_TEXT = 60
"""A longer text is neither rewritten nor compared."""

_SAME_WORD = {"weight": "mass", "tire": "tyre", "center": "centre", "cog": "cg"}
_ALIASES = {
    "rate": ("vertical_rate", "link_end_rate", "rate"),
    "stiffness": ("rate", "vertical_rate", "roll_stiffness"),
    "wheel_rate": ("vertical_rate",),
    "load": ("rated_load", "mass"),
    "load_index": ("rated_load",),
    "width": ("track",),
    "track_width": ("track",),
    "base": ("spring_base",),
    "type": ("suspension", "class"),
    "kind": ("suspension", "class"),
    "cg": ("cg_height",),
    "anti_roll_bar": ("bar", "rear_bar"),
    "sway_bar": ("bar", "rear_bar"),
    "full_droop": ("rebound_limit",),
    "droop": ("rebound_limit",),
    "rebound_stop": ("rebound_limit",),
    "helper": ("second_stage",),
    "helper_leaves": ("second_stage",),
    "position": ("behind_front_axle",),
    "distance": ("behind_front_axle",),
    "offset": ("left_of_centreline",),
    "left": ("left_of_centreline",),
    "clearance": ("gap",),
    "travel": ("gap",),
    "front_lift": ("suspension_lift_front",),
    "rear_lift": ("suspension_lift_rear",),
    "lift_front": ("suspension_lift_front",),
    "lift_rear": ("suspension_lift_rear",),
    "gross_mass": ("gross_vehicle_mass",),
    "roof": ("roof_load",),
    "steel": ("material",),
    "levers": ("arm_holes",),
    "holes": ("arm_holes",),
    "splay": ("arm_splay",),
}
"""What else a key is called, and the keys that may be meant, likeliest first."""

_SUSPENSION_WORDS = {
    Suspension.SOLID_AXLE: ("leaf", "leaves", "live", "beam", "rigid", "solid"),
    Suspension.INDEPENDENT: ("wishbone", "wishbones", "strut", "struts", "independent"),
}

_DIGITS = r"[0-9]+(?:\.[0-9]+)?"
_FRACTION = re.compile(r"(-?)\s*(?:([0-9]+)[\s-]+)?([0-9]+)\s*/\s*([0-9]+)\s*(\D.*)?")
_FEET = re.compile(rf"({_DIGITS})\s*(?:ft|foot|feet|')[\s,]*({_DIGITS})\s*(?:in|inch|inches|\")?")
_COMMA = re.compile(r"(-?[0-9]+),([0-9]+)(\D.*)?")
_TONNE = re.compile(rf"({_DIGITS})\s*(?:t|tonnes?)")
_SPELLINGS = {unit.lower(): unit for unit in UNITS} | {
    **ALSO_READ_AS,
    "kgs": "kg",
    "kilogram": "kg",
    "kilograms": "kg",
    "millimetre": "mm",
    "millimetres": "mm",
    "metre": "m",
    "metres": "m",
    "newton": "N",
    "newtons": "N",
}


def key(name: str, known: Iterable[str], *, given: Iterable[str], needed: Iterable[str]) -> str:
    """Find the key that an unknown one was meant to be; empty where none is near enough.

    `known` are the keys that the table takes, `given` those that it holds, `needed` those that are
    required.

    Examples
    --------
    >>> key("weight", ["mass", "height"], given=["weight"], needed=["mass", "height"])
    'mass'
    >>> key("colour", ["mass", "height"], given=["colour"], needed=["mass"])
    ''
    """
    given, needed = set(given), set(needed)
    open_keys = [word for word in known if word not in given]
    plain = "_".join(_SAME_WORD.get(part, part) for part in re.split(r"[_\s-]+", name.casefold()))
    for word in (plain, *_ALIASES.get(plain, ())):
        if word in open_keys:
            return word
    if len(plain) > LONGEST_TEXT:
        return ""
    likeness = {word: difflib.SequenceMatcher(None, plain, word).ratio() for word in open_keys}
    near = [word for word in open_keys if likeness[word] >= NEAR]
    return max(near, key=lambda w: likeness[w] + _NEEDED_FIRST * (w in needed), default="")


def suspension(found: object, axle: Mapping[str, object]) -> Suspension | None:
    """Find the kind of suspension that a refused word was meant to be; None where nothing tells.

    To check the rest of the axle with. `axle` is its table: a spring base belongs to a solid axle.

    Examples
    --------
    >>> suspension("independant", {}), suspension("leaf", {}), suspension("x", {})
    (<Suspension.INDEPENDENT: 'independent'>, <Suspension.SOLID_AXLE: 'solid axle'>, None)
    """
    text = found.casefold().strip() if isinstance(found, str) else ""
    if len(text) > LONGEST_TEXT:
        text = ""
    near = difflib.get_close_matches(text, [kind.value for kind in Suspension], n=1, cutoff=NEAR)
    if near:
        return Suspension(near[0])
    for kind, words in _SUSPENSION_WORDS.items():
        if set(words) & set(re.findall("[a-z]+", text)):
            return kind
    return Suspension.SOLID_AXLE if "spring_base" in axle else None


def quantity(text: str, dimension: Dimension, unit_for: Callable[[float], str]) -> tuple[str, ...]:
    """Write a quantity that cannot be read in the way that can.

    All that may have been meant, readable; empty where nothing tells. `unit_for` names the unit, as
    `UNITS` spells it, to suggest for a number that has none.

    Examples
    --------
    >>> quantity("61 1/2 in", Dimension.LENGTH, lambda number: "mm")
    ('61.5 in',)
    >>> quantity("85 kg ± 5", Dimension.MASS, lambda number: "kg")
    ('85 kg ± 5 kg', '85 kg ± 5 %')
    >>> quantity("1,130 kg", Dimension.MASS, lambda number: "kg")
    ('1.130 kg', '1130 kg')
    """
    if len(text) > LONGEST_TEXT:
        return ()
    text = text.replace("\N{MINUS SIGN}", "-")
    main, *rest = (part.strip() for part in TOLERANCE_SIGN.split(text))
    if len(rest) > 1:
        return ()
    tolerances = _amounts(rest[0]) if rest else ()
    written = []
    for amount in _amounts(main):
        if not rest:
            written.append(_with_unit(amount, dimension, unit_for))
        for tolerance in tolerances:
            written += _joined(amount, tolerance, dimension, unit_for=unit_for)
    return tuple(one for one in written if _is_right(one, dimension))


def _amounts(part: str) -> tuple[str, ...]:
    """A number with its unit, as it may have been meant: decimals, and units spelled as known."""
    if feet := _FEET.fullmatch(part):
        return (f"{12.0 * float(feet[1]) + float(feet[2]):.6g} in",)
    if feet := re.fullmatch(rf"({_DIGITS})\s*(?:ft|foot|feet|')[\s-]+(\S.*)", part):
        inches = _FRACTION.fullmatch(feet[2])
        if inches and (value := _decimal(inches)) is not None:
            return (f"{12.0 * float(feet[1]) + value:.6g} in",)
    if fraction := _FRACTION.fullmatch(part):
        value = _decimal(fraction)
        return () if value is None else _spelled(f"{value:.6g} {fraction[5] or ''}")
    if comma := _COMMA.fullmatch(part):
        whole, after, unit = comma[1], comma[2], (comma[3] or "").strip()
        thousands = _spelled(f"{whole}{after} {unit}") if len(after) == 3 else ()
        return (*_spelled(f"{whole}.{after} {unit}"), *thousands)
    return _spelled(part)


def _decimal(fraction: re.Match[str]) -> float | None:
    """Value of a whole number and a fraction; None where it divides by zero."""
    sign, whole, above, below = fraction.groups()[:4]
    if int(below) == 0:
        return None
    value = int(whole or 0) + int(above) / int(below)
    return -value if sign else value


def _spelled(amount: str) -> tuple[str, ...]:
    """The amount with its unit in a known spelling."""
    amount = amount.strip()
    if tonne := _TONNE.fullmatch(amount):
        return (f"{1e3 * float(tonne[1]):.6g} kg",)
    number = re.match(r"[-+0-9.eE]*[0-9.]", amount)
    if number is None:
        return ()
    unit = amount[number.end() :].strip().replace('"', "in").replace("''", "in").replace("'", "ft")
    names = re.sub("[A-Za-z]+", lambda word: _SPELLINGS.get(word[0].lower(), word[0]), unit)
    return (f"{number[0]} {names}".strip(),)


def _unit_of(amount: str) -> str:
    return amount.partition(" ")[2]


def _with_unit(amount: str, dimension: Dimension, unit_for: Callable[[float], str]) -> str:
    if _unit_of(amount) or dimension is Dimension.RATIO:
        return amount
    try:
        return f"{amount} {unit_for(float(amount))}"
    except ValueError:
        return amount


def _joined(
    amount: str, tolerance: str, dimension: Dimension, *, unit_for: Callable[[float], str]
) -> list[str]:
    """Amount and tolerance; each lends the other its unit, and % is the other way to say it."""
    if not _unit_of(amount) and _unit_of(tolerance) not in ("", "%"):
        amount = f"{amount} {_unit_of(tolerance)}"
    amount = _with_unit(amount, dimension, unit_for)
    if _unit_of(tolerance) or dimension is Dimension.RATIO:
        return [f"{amount} ± {tolerance}"]
    return [f"{amount} ± {tolerance} {unit}" for unit in (_unit_of(amount), "%")]


def _is_right(text: str, dimension: Dimension) -> bool:
    try:
        parse(text, dimension)
    except ValueError:
        return False
    return True
