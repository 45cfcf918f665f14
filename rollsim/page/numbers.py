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
from rollsim.units import to_unit

_NUMBER = re.compile(r"([+-]?)([0-9]{0,15})([.,]?)([0-9]{0,15})")
_MINUS = "\N{MINUS SIGN}"
_THOUSANDS = 3  # digits after a comma that may part thousands from hundreds


@dataclass(frozen=True, slots=True)
class Typed:
    """What stands in a box for a number [unit of the box].

    The value is None where nothing is typed, or nothing that can be used; what is wrong with it is
    in words, empty where nothing is.
    """

    value: float | None
    wrong: str = ""


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

    What cannot be used is told in words, a comma that may part thousands among it.

    Examples
    --------
    >>> read("75,0").value, read("−0.5").value
    (75.0, -0.5)
    >>> read("1,200").wrong
    'found "1,200", which may mean 1200 or 1.2; write it without the comma'
    >>> read("17355", Allowed(200.0, 8000.0, "kg")).wrong
    'found 17355; allowed 200 to 8000 kg'
    """
    typed = text.strip()
    if not typed:
        wrong = f"nothing is typed; allowed {allowed.words()}" if allowed.needed else ""
        return Typed(None, wrong)
    found = _NUMBER.fullmatch(typed.replace(_MINUS, "-"))
    if found is None or not (found[2] or found[4]):
        return Typed(None, f'found "{typed}"; write a number alone, such as 5.2')
    sign, whole, mark, after = found.groups()
    if _may_part_thousands(mark, whole, after, allowed):
        either = f"{sign}{whole}{after} or {float(f'{sign}{whole}.{after}'):g}"
        without = {",": "comma", ".": "point"}[mark]
        wrong = f'found "{typed}", which may mean {either}; write it without the {without}'
        return Typed(None, wrong)
    value = float(f"{sign}{whole or 0}.{after or 0}")
    if not allowed.least <= value <= allowed.most:
        return Typed(None, f"found {typed}; allowed {allowed.words()}")
    return Typed(value)


def _may_part_thousands(mark: str, whole: str, after: str, allowed: Allowed) -> bool:
    """A comma, or a point where thousands are allowed too, before three digits."""
    if mark not in (",", ".") or len(after) != _THOUSANDS or not whole.strip("0"):
        return False
    thousands = float(f"{whole}{after}")
    return mark == "," or (math.isfinite(allowed.most) and thousands <= allowed.most)


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
    first = {} if value is None else {"value": value}
    typed = read(
        here.text_input(
            plain(label),
            **first,
            key=key,
            help=help_,
            placeholder=placeholder,
            bind="query-params" if linked else None,
            on_change=on_change or "rerun",
            args=tuple(args),
            width=width,
        ),
        allowed,
    )
    if not typed.wrong:
        return typed
    wrong = f"{label}: {typed.wrong}"
    (here if tell is None else tell).error(plain(f"{wrong}."), icon=":material/error:")
    return Typed(None, wrong)


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
