"""How a spring changes when one of its own inputs is shifted, by the key within its table."""

import re
from collections.abc import Callable
from dataclasses import replace
from functools import partial

from rollsim.springs import (
    HelicalSpring,
    Helper,
    Leaf,
    LeafPack,
    Leaves,
    LinearSpring,
    Spring,
    StatedLoad,
    TableSpring,
)

SpringShift = Callable[[Spring, float], Spring]

_LEAF = re.compile(r"(full_length|graduated)_(thickness|width)\[(\d+)\]")


def spring_shift(name: str, others: frozenset[str]) -> SpringShift | None:
    """How a spring changes when the input at a key of it is shifted.

    Parameters
    ----------
    name : str
        Key within the spring's table, such as "second_stage.after".
    others : frozenset of str
        All such keys with a tolerance: a width stated once for all leaves moves those that have
        none of their own.

    Returns
    -------
    callable or None
        Takes a spring and a shift of the value as the file states it [SI unit of the input]; None
        where the spring's curve does not hang on that input.
    """
    if name in _STATED:
        return _STATED[name]
    table, _, inner = name.partition(".")
    if table == "helical" and inner in _HELICAL:
        return partial(_coil, _HELICAL[inner])
    if table != "leaf_pack":
        return None
    if inner == "youngs_modulus":
        return _modulus
    stage, _, of_helper = inner.partition(".")
    if stage == "helper":
        if of_helper in _HELPER:
            return partial(_helper, partial(_field, _HELPER[of_helper]))
        own = frozenset(key.removeprefix("leaf_pack.helper.") for key in others)
        change = _leaves(of_helper, own)
        return None if change is None else partial(_helper, partial(_of_helper, change))
    change = _leaves(inner, frozenset(key.removeprefix("leaf_pack.") for key in others))
    return None if change is None else partial(_main, change)


def _field(name: str, record: object, shift: float) -> object:
    return replace(record, **{name: getattr(record, name) + shift})


def _rate(spring: Spring, shift: float) -> Spring:
    if not isinstance(spring, LinearSpring):
        return spring
    return replace(spring, rate=spring.rate + shift * spring.motion_ratio**2)


def _stage_rate(spring: Spring, shift: float) -> Spring:
    if not isinstance(spring, LinearSpring):
        return spring
    return replace(spring, stage_rate=spring.stage_rate + shift * spring.motion_ratio**2)


def _stage_start(spring: Spring, shift: float) -> Spring:
    if not isinstance(spring, LinearSpring) or spring.stage_start is None:
        return spring
    return replace(spring, stage_start=spring.stage_start + shift / spring.motion_ratio)


def _load(spring: Spring, shift: float) -> Spring:
    stated: StatedLoad = spring.stated_load
    moved = replace(stated, force=stated.force + shift * spring.motion_ratio)
    return replace(spring, stated_load=moved)


def _at(spring: Spring, shift: float) -> Spring:
    stated: StatedLoad = spring.stated_load
    moved = replace(stated, extension=stated.extension + shift / spring.motion_ratio)
    return replace(spring, stated_load=moved)


def _motion_ratio(spring: Spring, shift: float) -> Spring:
    """Virtual work: force × r, travel / r, rate × r², for all that the spring states itself."""
    ratio = spring.motion_ratio + shift
    times = ratio / spring.motion_ratio
    moved = replace(
        spring,
        motion_ratio=ratio,
        loop=replace(spring.loop, half_width=spring.loop.half_width * times),
    )
    if spring.stated_load is not None:
        stated = spring.stated_load
        stated = StatedLoad(stated.force * times, stated.extension / times)
        moved = replace(moved, stated_load=stated)
    if isinstance(moved, LinearSpring):
        start = None if moved.stage_start is None else moved.stage_start / times
        rates = {"rate": moved.rate * times**2, "stage_rate": moved.stage_rate * times**2}
        return replace(moved, stage_start=start, **rates)
    if isinstance(moved, TableSpring):
        return replace(
            moved,
            travel=tuple(x / times for x in moved.travel),
            force=tuple(f * times for f in moved.force),
            half_widths=tuple(w * times for w in moved.half_widths),
        )
    return moved


_STATED: dict[str, SpringShift] = {
    "rate": _rate,
    "wheel_rate": _rate,
    "motion_ratio": _motion_ratio,
    "second_stage.rate": _stage_rate,
    "second_stage.after": _stage_start,
    "load": _load,
    "at": _at,
    "free_height": _at,
}
_HELICAL = {
    "wire_diameter": "wire_diameter",
    "mean_coil_diameter": "coil_diameter",
    "active_coils": "active_coils",
    "free_length": "free_length",
    "block_length": "block_length",
    "shear_modulus": "shear_modulus",
}
_HELPER = {"after": "start", "contact_travel": "contact_travel"}


def _coil(name: str, spring: Spring, shift: float) -> Spring:
    if not isinstance(spring, HelicalSpring):
        return spring
    stated = spring.stated_load
    if name == "free_length" and stated is not None and stated.is_free_height:
        spring = _at(spring, shift)
    return _field(name, spring, shift)


def _main(change: Callable[[Leaves, float], Leaves], spring: Spring, shift: float) -> Spring:
    if not isinstance(spring, LeafPack):
        return spring
    return replace(spring, main=change(spring.main, shift))


def _helper(change: Callable[[Helper, float], Helper], spring: Spring, shift: float) -> Spring:
    if not isinstance(spring, LeafPack) or spring.helper is None:
        return spring
    return replace(spring, helper=change(spring.helper, shift))


def _of_helper(change: Callable[[Leaves, float], Leaves], helper: Helper, shift: float) -> Helper:
    return replace(helper, leaves=change(helper.leaves, shift))


def _modulus(spring: Spring, shift: float) -> Spring:
    change = partial(_field, "youngs_modulus")
    return _helper(partial(_of_helper, change), _main(change, spring, shift), shift)


def _leaves(name: str, others: frozenset[str]) -> Callable[[Leaves, float], Leaves] | None:
    """How leaves change when the input at a key of them is shifted."""
    if name in ("span", "inactive_length"):
        return partial(_field, name)
    found = _LEAF.fullmatch(name)
    if found is None:
        return None
    kind, size, number = found[1], found[2], int(found[3]) - 1
    if size == "thickness":
        return partial(_thickness, kind, number)
    return partial(_width, kind, number, others)


def _thickness(kind: str, number: int, leaves: Leaves, shift: float) -> Leaves:
    moved = tuple(
        _field("thickness", leaf, shift) if n == number else leaf
        for n, leaf in enumerate(getattr(leaves, kind))
    )
    return replace(leaves, **{kind: moved})


def _width(kind: str, number: int, others: frozenset[str], leaves: Leaves, shift: float) -> Leaves:
    """The width of a leaf, and of those that the file gives the same width by one number."""
    own: Leaf = getattr(leaves, kind)[number]
    alone = number > 0 or f"{kind}_width[2]" in others
    moving = {kind}
    if kind == "full_length" and not any(key.startswith("graduated_width") for key in others):
        moving.add("graduated")

    def moved(of: str) -> tuple[Leaf, ...]:
        if of not in moving:
            return getattr(leaves, of)
        return tuple(
            _field("width", leaf, shift)
            if (of == kind and n == number) or (not alone and leaf.width == own.width)
            else leaf
            for n, leaf in enumerate(getattr(leaves, of))
        )

    return replace(leaves, full_length=moved("full_length"), graduated=moved("graduated"))
