"""A scenario's text with the answer of an inverse question in it."""

from collections.abc import Callable, Iterator, Mapping

from rollsim.reader_units import ReaderUnits
from rollsim.scenario.bounds import parsed
from rollsim.scenario.editing import Value, added, changed
from rollsim.scenario.keys import CLASS_DEFAULT, bare
from rollsim.sizing.amounts import AmountKind, Subject
from rollsim.springs import LinearSpring
from rollsim.units import Dimension, parse, to_unit
from rollsim.vehicle import Job, Suspension

Tables = dict
"""A scenario file as read from TOML."""

ENDS = ("front", "rear")
_RATES = ("rate", "wheel_rate")


def solved_text(
    text: str, job: Job, subject: Subject, *, amount: float, now: float, units: ReaderUnits
) -> str:
    """Write what was asked for into a scenario (TOML); all else stays as it is, to the letter.

    `amount` is the answer, `now` what the file has [kg], [m], [N/m] or [N·m/rad]. Unladen stays
    what it is: an item that was on the scales stays there, and the new one takes its place in the
    load cases. Raises ValueError where the file cannot say it; the sentence tells why and what to
    do.
    """
    if subject.kind is AmountKind.LOAD:
        return _with_loads(text, job, subject, amount=amount, now=now, units=units)
    if job.change.on_when_weighed:
        raise ValueError(
            "what stands under [change] was on the scales, so the file cannot tell it otherwise; "
            "change it on the vehicle and weigh again"
        )
    if subject.kind is AmountKind.SPRING_RATE:
        return changed(text, _spring_keys(text, job, subject.axle, amount / now, units))
    if subject.kind is AmountKind.FRONT_BAR:
        shape = parsed(text).get("change", {}).get("front_bar", {})
        new: dict[str, Value | None] = {f"change.front_bar.{key}": None for key in shape}
        written = _written(amount, units.roll_stiffness)
        return changed(text, {**new, "change.front_bar.roll_stiffness": written})
    lifts = {
        f"change.suspension_lift_{end}": _written(share * amount, units.length)
        for end, share in zip(ENDS, subject.shape, strict=True)
        if share
    }
    return changed(text, lifts)


def stated_spring(data: Tables, job: Job, end: str) -> Tables | None:
    """The table of the spring that is on in the load cases; None where no rate states it.

    With `rate` or `wheel_rate` as written, a second stage along with it.
    """
    own = data.get("change", {}).get(f"{end}_spring", data[end]["spring"])
    axle = getattr(job.vehicle, end)
    if own == CLASS_DEFAULT and isinstance(axle.spring, LinearSpring):
        word = "wheel_rate" if axle.suspension is Suspension.INDEPENDENT else "rate"
        own = {word: f"{axle.spring.rate / 1e3:.9g} N/mm"}
    return own if set(_RATES) & set(own) else None


def stiffer(spring: Tables, times: float, words: Callable[[float], str]) -> Tables:
    """A spring's table with every rate so many times as great.

    `words` writes a rate [N/m] as the file takes it.
    """
    new = {}
    for key, value in spring.items():
        if isinstance(value, Mapping):
            value = stiffer(value, times, words)
        elif key in _RATES:
            value = words(parse(bare(value), Dimension.RATE).value * times)
        new[key] = value
    return new


def _spring_keys(
    text: str, job: Job, axle: int, times: float, units: ReaderUnits
) -> dict[str, Value | None]:
    end = ENDS[axle]
    own = stated_spring(parsed(text), job, end)
    if own is None:
        raise ValueError(
            f"the {end} springs are not stated by a rate; compare springs under [[spring_option]]"
        )
    new = stiffer(own, times, lambda rate: _written(rate, units.rate))
    return dict(_leaves(new, f"change.{end}_spring"))


def _leaves(table: Tables, where: str) -> Iterator[tuple[str, Value]]:
    for key, value in table.items():
        if isinstance(value, Mapping):
            yield from _leaves(value, f"{where}.{key}")
        else:
            yield f"{where}.{key}", value


def _with_loads(
    text: str, job: Job, subject: Subject, *, amount: float, now: float, units: ReaderUnits
) -> str:
    masses = {load.name: load.mass for load in job.loads}
    for number, table in enumerate(parsed(text)["load"]):
        name = table["name"].strip()
        if name not in subject.items:
            continue
        if "mass" not in table:
            raise ValueError(f'load[{number}]: "{name}" is not given by its mass; give it so')
        share = masses[name] / now if now > 0.0 else 1.0 / len(subject.items)
        mass = _written(amount * share, units.mass)
        if not table.get("on_when_weighed"):
            text = changed(text, {f"load[{number}].mass": mass})
            continue
        off = {f"load[{number}].name": f"{name}, on the scales", f"load[{number}].cases": []}
        plain = {key: value for key, value in table.items() if key != "on_when_weighed"}
        text = added(changed(text, off), "load", {**plain, "mass": mass})
    return text


def _written(value: float, unit: str) -> str:
    """A quantity as the file takes it, close enough that the file gives the answer again."""
    return f"{to_unit(value, unit):.9g} {unit.replace('·', '*')}"
