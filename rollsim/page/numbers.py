"""Numbers as they are typed: one way to read them, and one box for them, on every page.

A browser's own field for numbers drops a comma without a word, and 75,0 becomes 750.
"""

import math
import re
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from rollsim.page.frame import plain
from rollsim.scenario.keys import ASSUMED, bare, is_assumed
from rollsim.units import TOLERANCE_SIGN, converted, to_unit, without_gaps

_NUMBER = re.compile(r"([+-]?)([0-9]{0,15})([.,]?)([0-9]{0,15})(?:\s*([^\s0-9.,+-].*))?")
_MINUS = "\N{MINUS SIGN}"
_TYPED = "numbers:typed"  # name of a box without its unit: what was typed last, in which unit
_FIRST = "numbers:first"  # name of a box: what it showed at first, in place of its usual value
_KEPT_PLACES = {"in": 2, "lb": 1, "kg": 1}
_THOUSANDS = 3  # digits after a comma that may part thousands from hundreds


@dataclass(frozen=True, slots=True)
class Typed:
    """What stands in a box for a number [unit of the box].

    The value is None where nothing is typed, or nothing that can be used; what is wrong with it is
    in words, empty where nothing is; `places` are the digits typed after the point or comma.
    """

    value: float | None
    wrong: str = ""
    places: int = 0


@dataclass(frozen=True, slots=True)
class Allowed:
    """What a box takes: from least to most in its unit; `needed`: it must not be empty."""

    least: float = -math.inf
    most: float = math.inf
    unit: str = ""
    needed: bool = False

    def words(self) -> str:
        """What is allowed, in words."""
        if math.isinf(self.most):
            any_ = "any number" if math.isinf(self.least) else f"{self.least:g} or more"
            return f"{any_} {self.unit}".strip()
        return f"{self.least:g} to {self.most:g} {self.unit}".strip()


ANY = Allowed()


def read(text: str, allowed: Allowed = ANY) -> Typed:
    """A number as it was typed, with a decimal point or a decimal comma.

    Alone it is in the box's unit; any other unit of the same kind may stand behind it. A space may
    part thousands; what cannot be used is told in words, a comma that may part them among it.

    Examples
    --------
    >>> read("75,0").value, read("−0.5").value
    (75.0, -0.5)
    >>> read("140 kg", Allowed(unit="kg")).value, read("5.5 in", Allowed(unit="mm")).value
    (140.0, 139.7)
    >>> read("2 050 kg", Allowed(unit="kg")).value, read("12\u202f500,5").value
    (2050.0, 12500.5)
    >>> read("1,200").wrong
    'found "1,200", which may mean 1200 or 1.2; write it without the comma'
    >>> read("17355", Allowed(200.0, 8000.0, "kg")).wrong
    'found 17355; allowed 200 to 8000 kg'
    """
    typed = text.strip()
    if not typed:
        wrong = f"nothing is typed; allowed {allowed.words()}" if allowed.needed else ""
        return Typed(None, wrong)
    found = _parts(typed)
    if found is None or (found.unit and not allowed.unit):
        alone = ", alone or with its unit, such as 5.2 " if allowed.unit else " alone, such as 5.2"
        return Typed(None, f'found "{typed}"; write a number{alone}{allowed.unit}')
    try:
        scale = converted(1.0, found.unit or allowed.unit, allowed.unit)
    except ValueError:
        wrong = f'found "{typed}"; write a number alone, or with a unit that fits {allowed.unit}'
        return Typed(None, wrong)
    if _may_part_thousands(found, allowed.most / scale):
        return Typed(None, f'found "{typed}", which may mean {_either(found)}')
    value = float(found.number)
    read_as = ""
    if scale != 1.0:
        value = float(f"{value * scale:.12g}")  # 5.5 in are 139.7 mm, not 139.70000000000002
        read_as = f" (read as {value:.6g} {allowed.unit})"
    if not allowed.least <= value <= allowed.most:
        return Typed(None, f"found {typed}{read_as}; allowed {allowed.words()}")
    return Typed(value, places=len(found.after))


@dataclass(frozen=True, slots=True)
class _Parts:
    """What was typed, in its parts: sign, digits before and after the `mark`, unit."""

    sign: str
    whole: str
    mark: str
    after: str
    unit: str

    @property
    def number(self) -> str:
        return f"{self.sign}{self.whole or 0}.{self.after or 0}"


def _parts(typed: str) -> _Parts | None:
    """A number with its unit, if any; None where it is anything else."""
    found = _NUMBER.fullmatch(without_gaps(typed).strip().replace(_MINUS, "-"))
    if found is None or not (found[2] or found[4]):
        return None
    return _Parts(*(part or "" for part in found.groups()))


def _may_part_thousands(found: _Parts, most: float) -> bool:
    """A comma, or a point where thousands are allowed too, before three digits."""
    if found.mark not in (",", ".") or len(found.after) != _THOUSANDS:
        return False
    if not found.whole.strip("0"):
        return False
    thousands = float(f"{found.whole}{found.after}")
    return found.mark == "," or (math.isfinite(most) and thousands <= most)


def _either(found: _Parts) -> str:
    """The two numbers that it may be, and what to do."""
    thousands = f"{found.sign}{found.whole}{found.after}"
    without = {",": "comma", ".": "point"}[found.mark]
    return f"{thousands} or {float(found.number):g}; write it without the {without}"


def for_the_file(text: str, unit: str) -> str:
    """What was typed into a field of the file, as the file takes it.

    A number without a unit takes the one beside it, of value or tolerance, else `unit`, and a
    decimal comma becomes a point; anything else stays as it is, for the file's own reader to
    refuse.

    Examples
    --------
    >>> for_the_file("140", "kg"), for_the_file("5,5 ± 0,1", "in")
    ('140 kg', '5.5 in ± 0.1 in')
    >>> for_the_file("140 kg +/- 5 %", "lb"), for_the_file("1,200", "kg")
    ('140 kg +/- 5 %', '1,200')
    >>> for_the_file("2 050 kg", "kg"), for_the_file("2 050 ± 10", "kg")
    ('2050 kg', '2050 kg ± 10 kg')
    """
    value = bare(text)
    parts = [_parts(part) for part in TOLERANCE_SIGN.split(value)]
    if any(part is None or _may_part_thousands(part, math.inf) for part in parts):
        return text
    whole = without_gaps(value) == value and all(
        part.mark != "," and (part.unit or not unit) for part in parts
    )
    if whole:
        return text
    unit = next((part.unit for part in parts if part.unit not in ("", "%")), unit)
    written = (
        f"{part.sign}{part.whole or 0}{'.' if part.after else ''}{part.after} {part.unit or unit}"
        for part in parts
    )
    mark = f" {ASSUMED}" if is_assumed(text) else ""
    return " ± ".join(one.strip() for one in written) + mark


def is_length(text: str) -> bool:
    """Whether a text is one length, or a number alone.

    Examples
    --------
    >>> is_length("28"), is_length("1.125 in ± 0.005"), is_length("28 mm solid")
    (True, True, False)
    """
    parts = [_parts(part) for part in TOLERANCE_SIGN.split(text)]
    if None in parts:
        return False
    try:
        return all(converted(1.0, part.unit or "mm", "mm") for part in parts)
    except ValueError:
        return False


def shown(value: float | None, decimals: int) -> str:
    """A value [unit of the box] as a box shows it, without idle noughts.

    Examples
    --------
    >>> shown(1200.04, 1), shown(-0.001, 1), shown(None, 1)
    ('1200', '0', '')
    """
    if value is None:
        return ""
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def in_si(value: float | None, unit: str) -> float | None:
    """What was typed into a box [its unit], in SI; None stays None."""
    return None if value is None else value / to_unit(1.0, unit)


def ask(
    label: str,
    allowed: Allowed = ANY,
    *,
    key: str,
    value: str | None = "",
    place: DeltaGenerator | None = None,
    tell: DeltaGenerator | None = None,
    help_: str | None = None,
    placeholder: str | None = None,
    linked: bool = False,
    on_change: Callable[..., None] | None = None,
    args: Sequence[object] = (),
    width: int | str = "stretch",
) -> Typed:
    """A box for a number, and under it what is wrong with what was typed.

    The label has the unit, and names of the file as they stand; what is wrong begins with it.
    `value`, from `shown`, stands there at first; None: what the state has. A `linked` box is held
    by the address of the page, under the name `key`. The box goes to `place`, what is wrong to
    `tell`; None: here, and under the box.
    """
    here = st if place is None else place
    first = {} if value is None else {"value": _at_first(key, value, allowed.unit)}
    text = here.text_input(
        plain(label),
        **first,
        key=key,
        help=help_,
        placeholder=placeholder,
        bind="query-params" if linked else None,
        on_change=on_change or "rerun",
        args=tuple(args),
        width=width,
    )
    if value is not None and text != first["value"]:
        st.session_state.setdefault(_TYPED, {})[_base(key, allowed.unit)] = (text, allowed.unit)
    typed = read(text, allowed)
    if not typed.wrong:
        return typed
    wrong = f"{label}: {typed.wrong}"
    (here if tell is None else tell).error(plain(f"{wrong}."), icon=":material/error:")
    return Typed(None, wrong)


def _base(key: str, unit: str) -> str:
    """Name of a box without the unit at its end: of the same box in another unit."""
    return key.removesuffix(unit).rstrip(":_") if unit else key


def _at_first(key: str, value: str, unit: str) -> str:
    """What a new box shows: what was typed into it, in whichever unit, else `value`."""
    state = st.session_state
    shown_first: dict[str, str] = state.setdefault(_FIRST, {})
    if key not in state:
        shown_first.pop(key, None)
        text, own = state.get(_TYPED, {}).get(_base(key, unit), ("", unit))
        if (found := read(text, Allowed(unit=own)).value) is not None:
            inexact = shown(converted(found, own, unit), _KEPT_PLACES.get(unit, 0))
            shown_first[key] = text if own == unit else inexact
    return shown_first.get(key, value)


def hold(key: str, now: str, of: Hashable) -> None:
    """What a box shows of the scenario; what is wrong in it stays until it is mended.

    `now` is what the scenario has, from `shown`; `of` tells one thing from another that may get the
    same box.
    """
    state = st.session_state
    if key not in state or state.get(_wrong(key)) != of:
        state[key] = now


def taken(key: str, allowed: Allowed, of: Hashable) -> float | None:
    """What was typed into a box that `hold` fills [its unit]; None where it cannot be used."""
    typed = read(st.session_state[key], allowed)
    if typed.value is None:
        st.session_state[_wrong(key)] = of
    else:
        st.session_state.pop(_wrong(key), None)
    return typed.value


def _wrong(key: str) -> str:
    return f"{key}:wrong"
