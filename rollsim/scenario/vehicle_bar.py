"""A bar on the vehicle: by its roll stiffness, by its rate at the link, or by its dimensions."""

import math
from dataclasses import dataclass

from pydantic import ValidationError

from rollsim.bar import (
    BUSH_RATES,
    LINK_RATES,
    TAPE_ERROR,
    VERNIER_ERROR,
    BarReadings,
    MeasuredSection,
    Mount,
    link_spacing,
    parse_measured_section,
    rate_by_dimensions,
    shape_of,
    splay_of,
    stiffness_by_dimensions,
)
from rollsim.estimates import Estimate
from rollsim.scenario.bar_shape import (
    bar_shapes,
    check_bushes,
    check_installation_ratio,
    coupling_rate,
    finite,
    read_steel,
)
from rollsim.scenario.bar_tables import BarShapeTable, BarTable, MaterialTable
from rollsim.scenario.defaults import bar_default
from rollsim.scenario.errors import Problems
from rollsim.scenario.keys import CLASS_DEFAULT, UNUSABLE
from rollsim.scenario.ledger import Ledger
from rollsim.units import Quantity
from rollsim.vehicle import BarPlace, Suspension

# Keys of a bar by its dimensions alone; the installation ratio serves two of the ways.
_DIMENSIONS = (
    "section",
    "material",
    *(name for name in BarShapeTable.model_fields if name != "installation_ratio"),
)
_SPLAY = (math.radians(-45.0), math.radians(60.0))  # as the key arm_splay takes it
WITH = "section, centre_length, bush_spacing and arm_holes"


@dataclass(frozen=True, slots=True)
class BuiltBar:
    """A bar on the vehicle: per axle [N·m/rad], in words, and where it sits, if known."""

    stiffness: float = 0.0
    words: str = ""
    place: BarPlace | None = None


def build_bar(
    ledger: Ledger,
    key: str,
    table: BarTable | None,
    *,
    axle: str,
    suspension: Suspension | None,
    track: float,
) -> BuiltBar:
    """Build the anti-roll bar that is on an axle.

    0 N·m/rad and empty where there is none. `track` is that of the axle with that bar on it [m].
    """
    if table is None or suspension is None:
        return BuiltBar()
    way = _way(ledger, key, table, suspension=suspension)
    if way is None:
        return BuiltBar()
    if way == "section":
        return _by_dimensions(ledger, key, table, suspension=suspension, track=track)
    if table.roll_stiffness == CLASS_DEFAULT:
        return _assumed(bar_default(ledger, axle, key=key))
    if table.roll_stiffness is not None:
        stiffness = ledger.take(f"{key}.roll_stiffness", table.roll_stiffness)
        if stiffness and ledger.is_assumed(f"{key}.roll_stiffness"):
            return _assumed(stiffness)
        words = f"bar of {math.radians(stiffness):.4g} N·m/deg" if stiffness else ""
        return BuiltBar(stiffness, words)
    rate = ledger.take(f"{key}.link_end_rate", table.link_end_rate)
    if suspension is Suspension.SOLID_AXLE:
        spacing = ledger.take(f"{key}.link_spacing", table.link_spacing)
        words = f"bar of {rate / 1e3:.4g} N/mm at the link, links {spacing * 1e3:.5g} mm apart"
        return BuiltBar(rate * spacing**2 / 2.0, words)
    ratio = ledger.take(f"{key}.installation_ratio", table.installation_ratio)
    words = f"bar of {rate / 1e3:.4g} N/mm at the link, installation ratio {ratio:.4g}"
    return BuiltBar(rate * ratio**2 * track**2 / 2.0, words)


def _assumed(stiffness: float) -> BuiltBar:
    return BuiltBar(stiffness, f"bar of about {math.radians(stiffness):.3g} N·m/deg, assumed")


def _way(ledger: Ledger, key: str, table: BarTable, *, suspension: Suspension) -> str | None:
    """The key that the bar is stated by; None, and what is not so added, where it is not."""
    before = len(ledger.problems.found)
    shape = [name for name in _DIMENSIONS if _is_there(ledger, key, table, name)]
    rates = [name for name in ("link_end_rate", "roll_stiffness") if getattr(table, name)]
    needed = "installation_ratio"
    if suspension is Suspension.SOLID_AXLE:
        needed = "link_spacing"
    if len(rates) + bool(shape) != 1:
        came = "both" if len(rates) == 2 and not shape else " beside ".join([*rates, *shape[:1]])
        ledger.problems.add(
            key,
            f"found {came or 'neither'}; allowed link_end_rate with {needed}, or roll_stiffness, "
            f"or its dimensions ({WITH}); give one",
        )
    elif rates == ["link_end_rate"] and getattr(table, needed) is None:
        ledger.problems.add(
            f"{key}.{needed}",
            f"missing; link_end_rate on {suspension.value} suspension needs it; add it",
        )
    if not shape:
        _refuse_other(ledger, key, table, suspension=suspension)
    if len(ledger.problems.found) > before:
        return None
    return "section" if shape else rates[0]


def _is_there(ledger: Ledger, key: str, table: BarTable, name: str) -> bool:
    """Whether a key is in the file, refused or not."""
    refused = any(ledger.problems.has(f"{key}.{name}{end}") for end in ("", "[1]"))
    return refused or getattr(table, name) is not None


def _refuse_other(ledger: Ledger, key: str, table: BarTable, *, suspension: Suspension) -> None:
    """What the link of the other kind of suspension is stated by."""
    independent = suspension is Suspension.INDEPENDENT
    other = "link_spacing" if independent else "installation_ratio"
    if getattr(table, other) is not None:
        ledger.problems.add(
            f"{key}.{other}", f"{suspension.value} suspension does not take it; remove it"
        )


def _by_dimensions(
    ledger: Ledger, key: str, table: BarTable, *, suspension: Suspension, track: float
) -> BuiltBar:
    """A bar by vernier and tape; its readings end in one tolerance."""
    aside = Ledger(ledger.problems)
    readings = read_dimensions(aside, key, table)
    check_installation_ratio(ledger, key, table, suspension)
    ledger.assumed += aside.assumed
    solid = suspension is Suspension.SOLID_AXLE
    if readings is None or ledger.problems.found or math.isnan(track):
        return BuiltBar()
    ratio = None if solid else table.installation_ratio
    rate = rate_by_dimensions(readings)
    found = stiffness_by_dimensions(readings, installation_ratio=ratio, track=track)
    ledger.take(f"{key}.roll_stiffness", Quantity(found.value, found.tolerance))
    words = dimension_words(readings)
    ledger.notes.append(
        f"{key}: worked out from its dimensions, {words}: "
        f"{_with_band(rate, 1e-3, 'N/mm')} at the link, "
        f"{_with_band(found, math.radians(1.0), 'N·m/deg')}; where a reading has no tolerance of "
        f"its own, ± {VERNIER_ERROR * 1e3:g} mm by vernier and ± {TAPE_ERROR * 1e3:g} mm by tape "
        "are taken"
    )
    on_axle = solid if table.mount is None else table.mount is Mount.AXLE
    return BuiltBar(
        found.value,
        f"{words}, {rate.value / 1e3:.4g} N/mm at the link",
        BarPlace(on_axle, readings.bush_spacing.value, link_spacing(shape_of(readings))),
    )


def steel_words(table: BarTable) -> str:
    """What a bar that is to be ordered is made of; empty where nobody says."""
    material = table.material
    name = material if isinstance(material, str | None) else material.name
    return f", of {name}" if name else ""


def dimension_words(readings: BarReadings) -> str:
    """The bar in words, metric."""
    label = readings.section.label
    if readings.lever is None:
        return f"{label} bar along its centreline"
    return f"{label} bar with {readings.lever.value * 1e3:.5g} mm arms"


def _with_band(found: Estimate, factor: float, unit: str) -> str:
    band = float(f"{found.tolerance * factor:.2g}")
    return f"{found.value * factor:.4g} {unit} ± {band:g} {unit}"


def read_shape(
    ledger: Ledger, key: str, table: BarTable, *, suspension: Suspension
) -> BarReadings | None:
    """Readings of a bar that is told by its dimensions alone; None where something is refused."""
    way = _way(ledger, key, table, suspension=suspension)
    if way is None:
        return None
    if way != "section":
        ledger.problems.add(key, f"found {way}; allowed dimensions: {WITH}; measure it")
        return None
    check_installation_ratio(ledger, key, table, suspension)
    return read_dimensions(ledger, key, table)


def read_dimensions(ledger: Ledger, key: str, table: BarTable) -> BarReadings | None:
    """Readings of a bar that is on a vehicle; None where something is missing or refused."""
    section = _section(ledger, f"{key}.section", table.section)
    for name in ("section", "bush_spacing"):
        if not _is_there(ledger, key, table, name):
            ledger.problems.add(
                f"{key}.{name}", f"missing; a bar by its dimensions needs {WITH}; add it"
            )
    holes = table.arm_holes or ()
    if len(holes) > 1:
        ledger.problems.add(
            f"{key}.arm_holes",
            f"found {len(holes)} levers; allowed one, of the hole that the link is in; keep that",
        )
    lever = holes[0] if holes else None
    shapes = bar_shapes(ledger, key, table, splay=_splay(ledger, key, table, lever))
    angles = {
        name: getattr(table, name) or Quantity(0.0) for name in ("arm_angle", "link_inclination")
    }
    if table.bush_spacing is not None:
        arm_angle = finite(angles["arm_angle"].value)
        spacing = table.bush_spacing.value
        check_bushes(ledger, key, shapes[:1], spacing, arm_angle=arm_angle)
    more = {
        **angles,
        **_moduli(ledger, f"{key}.material", table.material),
        "bush_rate": _coupling(ledger, f"{key}.bush_rate", table.bush_rate, known=BUSH_RATES),
        "link_rate": _coupling(ledger, f"{key}.link_rate", table.link_rate, known=LINK_RATES),
    }
    if ledger.problems.found or section is None:
        return None
    if table.centreline is not None:
        return BarReadings(section, table.bush_spacing, shape=shapes[0], **more)
    return BarReadings(
        section,
        table.bush_spacing,
        centre_length=table.centre_length,
        lever=lever,
        splay=table.arm_splay or Quantity(0.0),
        link_spacing=table.link_spacing,
        bend_radius=0.0 if table.bend_radius is None else table.bend_radius.value,
        **more,
    )


def dimensions_of(keys: dict[str, object], where: str) -> tuple[BarReadings, BarTable]:
    """Readings of a bar from the keys of its table, and that table, away from any file.

    Errors name `where` in place of a file. Raises ScenarioError with every error of the keys.
    """
    problems = Problems(where)
    try:
        table = BarTable.model_validate(keys)
    except ValidationError as error:
        refused = error.errors(include_url=False, include_context=False)
        for item in refused:
            problems.add(f"bar.{item['loc'][0]}", item["msg"])
        table = BarTable.model_validate(keys | {item["loc"][0]: UNUSABLE for item in refused})
    readings = read_dimensions(Ledger(problems), "bar", table)
    problems.stop_if_any()
    return readings, table


def _section(ledger: Ledger, key: str, text: str | None) -> MeasuredSection | None:
    if text is None:
        return None
    try:
        return parse_measured_section(text)
    except ValueError as error:
        ledger.problems.add(key, str(error))
        return None


def _splay(ledger: Ledger, key: str, table: BarTable, lever: Quantity | None) -> float:
    """Splay of the arms, as read or by where the links stand [rad]."""
    by_links = table.link_spacing
    if by_links is None:
        return 0.0 if table.arm_splay is None else finite(table.arm_splay.value)
    for name in ("arm_splay", "centreline"):
        if getattr(table, name) is not None:
            ledger.problems.add(
                f"{key}.link_spacing", f"{name} says where the links are; remove one of the two"
            )
            return 0.0
    if table.centre_length is None or lever is None:
        return 0.0
    splay = splay_of(by_links.value, table.centre_length.value, lever.value)
    low, high = _SPLAY
    if not low <= splay <= high and math.isfinite(splay):
        ledger.problems.add(
            f"{key}.link_spacing",
            f"found {by_links.value * 1e3:.5g} mm, with which the arms would splay by "
            f"{math.degrees(splay):.3g} deg; allowed {math.degrees(low):g} deg to "
            f"{math.degrees(high):g} deg; measure it, centre_length and the arm again",
        )
        return 0.0
    return finite(splay)


def _moduli(ledger: Ledger, key: str, material: MaterialTable | str | None) -> dict[str, Quantity]:
    """Moduli of its steel; the usual ones where none is named."""
    steel = read_steel(ledger, key, material)
    if steel is None:
        return {}
    own = {} if isinstance(material, str) else material
    return {
        name: getattr(own, name, None) or Quantity(getattr(steel, name))
        for name in ("youngs_modulus", "shear_modulus")
    }


def _coupling(
    ledger: Ledger,
    key: str,
    found: Quantity | str | None,
    *,
    known: dict[str, tuple[float, float]],
) -> Quantity | None:
    """Rate of a bush or link, given or by its kind [N/m]; None: rigid."""
    coupling_rate(ledger, key, found, known=known)  # says what it assumes
    return Quantity(*known[found]) if isinstance(found, str) else found
