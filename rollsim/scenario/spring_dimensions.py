"""Coil springs and leaf packs from their dimensions in the file."""

import math
from dataclasses import astuple

from rollsim.scenario.ledger import Ledger
from rollsim.scenario.spring_tables import HelicalTable, HelperTable, LeafPackTable, LeavesTable
from rollsim.springs import FrictionLoop, HelicalSpring, Helper, Leaf, LeafPack, Leaves, StatedLoad
from rollsim.units import Quantity

YOUNGS_MODULUS, SHEAR_MODULUS = 206e9, 79.3e9  # Pa: spring steel, as the bar's built-in steels
POISSONS_RATIO = 0.3  # of metals, from memory; with it steel's E gives 79.2 GPa
SPRING_INDEX = (3.0, 20.0)
RATES = (2e3, 1000e3)  # N/m: those of the key `rate`
HELPER_RATES = (1e3, 2000e3)  # N/m: those of second_stage.rate


def helical_spring(
    ledger: Ledger,
    key: str,
    table: HelicalTable,
    *,
    ratio: float,
    stated: StatedLoad | None,
    loop: FrictionLoop,
    load: float,
) -> HelicalSpring | None:
    """Build a coil spring; None where refused.

    `ratio` is spring travel per wheel travel [-]. At the wheel: `stated`, the spring's own load,
    `loop`, its friction, and `load`, what it carries as weighed [N].
    """
    before = len(ledger.problems.found)
    spring = HelicalSpring(
        ledger.take(f"{key}.wire_diameter", table.wire_diameter),
        ledger.take(f"{key}.mean_coil_diameter", table.mean_coil_diameter),
        ledger.take(f"{key}.active_coils", table.active_coils),
        free_length=ledger.take(f"{key}.free_length", table.free_length),
        block_length=ledger.take(f"{key}.block_length", table.block_length),
        shear_modulus=ledger.take(f"{key}.shear_modulus", table.shear_modulus, SHEAR_MODULUS),
        motion_ratio=ratio,
        stated_load=stated,
        loop=loop,
    )
    if not all(math.isfinite(x) for x in astuple(spring)[:7]):
        return None
    _check_coils(ledger, key, spring)
    _check_rate(ledger, key, spring.rate, RATES)
    if len(ledger.problems.found) > before:
        return None
    try:
        if math.isfinite(load) and load > 0.0:
            spring.curve(load)
    except ValueError as error:
        ledger.problems.add(key, str(error))
        return None
    return spring


def leaf_pack(
    ledger: Ledger,
    key: str,
    table: LeafPackTable,
    *,
    ratio: float,
    stated: StatedLoad | None,
    loop: FrictionLoop,
    offer_twist: bool,
) -> LeafPack | None:
    """Build a leaf pack; None where refused.

    As `helical_spring`; `offer_twist` notes what its twist may add to the roll stiffness.
    """
    before = len(ledger.problems.found)
    modulus = ledger.take(f"{key}.youngs_modulus", table.youngs_modulus, YOUNGS_MODULUS)
    main = _leaves(ledger, key, table, modulus=modulus, rates=RATES)
    nip = ledger.take(f"{key}.nip", table.nip)
    if nip > 0.0 and table.graduated_thickness is None:
        ledger.problems.add(
            f"{key}.nip", "a pack without graduated leaves has none; add these, or remove it"
        )
    helper = None
    if table.helper is not None:
        helper = _helper(ledger, f"{key}.helper", table.helper, modulus=modulus)
        if helper is None:
            return None
    if main is None or len(ledger.problems.found) > before:
        return None
    if offer_twist:
        shear_modulus = modulus / (2.0 * (1.0 + POISSONS_RATIO))
        twist = math.radians(main.twist_stiffness(shear_modulus))
        ledger.notes.append(
            f"{key}: the leaves' own twist adds roll stiffness, at most {twist:.0f} N·m/deg per "
            "axle, less what the bushes give; it counts where auxiliary_roll_stiffness states it"
        )
    return LeafPack(main, helper, nip, motion_ratio=ratio, stated_load=stated, loop=loop)


def _check_coils(ledger: Ledger, key: str, spring: HelicalSpring) -> None:
    """Dimensions that no cylindrical spring of round wire has."""
    low, high = SPRING_INDEX
    index = spring.coil_diameter / spring.wire_diameter
    if not low <= index <= high:
        ledger.problems.add(
            f"{key}.mean_coil_diameter",
            f"found {spring.coil_diameter * 1e3:.5g} mm, {index:.3g} times the wire; allowed "
            f"{low:g} to {high:g} times; measure the wire, and the coil to the middle of the wire",
        )
    least = spring.active_coils * spring.wire_diameter
    if not least * (1.0 - 1e-9) <= spring.block_length < spring.free_length:
        ledger.problems.add(
            f"{key}.block_length",
            f"found {spring.block_length * 1e3:.5g} mm; allowed from the active coils times the "
            f"wire, {least * 1e3:.5g} mm, to below the free length, "
            f"{spring.free_length * 1e3:.5g} mm; check all four",
        )


def _check_rate(ledger: Ledger, key: str, rate: float, rates: tuple[float, float]) -> None:
    """The rate that the dimensions give is one that such springs have."""
    low, high = rates
    if not low <= rate <= high:
        ledger.problems.add(
            key,
            f"found dimensions that give {rate / 1e3:.5g} N/mm; allowed {low / 1e3:g} N/mm to "
            f"{high / 1e3:g} N/mm; check each of them and its unit",
        )


def _helper(ledger: Ledger, key: str, table: HelperTable, *, modulus: float) -> Helper | None:
    leaves = _leaves(ledger, key, table, modulus=modulus, rates=HELPER_RATES)
    start = ledger.take(f"{key}.after", table.after)
    contact = ledger.take(f"{key}.contact_travel", table.contact_travel)
    return None if leaves is None else Helper(leaves, start, contact)


def _leaves(
    ledger: Ledger, key: str, table: LeavesTable, *, modulus: float, rates: tuple[float, float]
) -> Leaves | None:
    """Leaves of a stage; None where something was refused."""
    before = len(ledger.problems.found)
    span = ledger.take(f"{key}.span", table.span)
    inactive = ledger.take(f"{key}.inactive_length", table.inactive_length)
    if inactive >= span:
        ledger.problems.add(
            f"{key}.inactive_length",
            f"found {inactive * 1e3:.5g} mm; allowed less than the span, {span * 1e3:.5g} mm; "
            "measure what seat and U-bolts hold",
        )
    full = _sections(
        ledger, key, "full_length", table.full_length_thickness, widths=table.full_length_width
    )
    graduated: tuple[Leaf, ...] | None = ()
    if table.graduated_thickness is not None:
        widths = table.full_length_width
        same = widths[0].value if len(widths) == 1 else None
        graduated = _sections(
            ledger,
            key,
            "graduated",
            table.graduated_thickness,
            widths=table.graduated_width,
            same_width=same,
        )
    elif table.graduated_width is not None:
        ledger.problems.add(
            f"{key}.graduated_thickness", "missing; graduated_width needs it; add it or remove that"
        )
    numbers = (span, inactive, modulus)
    if not full or graduated is None or not all(map(math.isfinite, numbers)):
        return None
    if len(ledger.problems.found) > before:
        return None
    leaves = Leaves(span, full, graduated, inactive_length=inactive, youngs_modulus=modulus)
    _check_rate(ledger, key, leaves.rate, rates)
    return leaves


def _sections(
    ledger: Ledger,
    key: str,
    kind: str,
    thicknesses: tuple[Quantity, ...],
    *,
    widths: tuple[Quantity, ...] | None,
    same_width: float | None = None,
) -> tuple[Leaf, ...] | None:
    """Leaves of one kind; None where something was refused."""
    if thicknesses == () or widths == ():
        return None
    name, count = f"{key}.{kind}_width", len(thicknesses)
    if widths is not None and len(widths) not in (1, count):
        ledger.problems.add(
            name,
            f"found {len(widths)} widths for {count} leaves; allowed 1 for all or {count}; "
            "write one for each thickness",
        )
        return None
    if widths is None and same_width is None:
        if not ledger.problems.has(f"{key}.full_length_width"):
            ledger.problems.add(
                name, "missing; the full-length leaves have more than one width; add it (vernier)"
            )
        return None
    deep = [ledger.take(f"{key}.{kind}_thickness[{n}]", t) for n, t in enumerate(thicknesses, 1)]
    wide = [ledger.take(f"{name}[{n}]", w) for n, w in enumerate(widths or (), 1)] or [same_width]
    leaves = tuple(
        Leaf(width, thickness)
        for width, thickness in zip(wide * (count // len(wide)), deep, strict=True)
    )
    for number, leaf in enumerate(leaves, 1):
        if leaf.thickness > leaf.width:
            ledger.problems.add(
                f"{key}.{kind}_thickness[{number}]",
                f"found {leaf.thickness * 1e3:.4g} mm on a width of {leaf.width * 1e3:.4g} mm; "
                "allowed up to the width; check which is which",
            )
    return leaves
