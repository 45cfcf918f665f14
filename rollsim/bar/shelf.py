"""A part as the shop can have it: its own number, price and weeks; a bar with all of it."""

from dataclasses import dataclass

from rollsim.bar.steel import Section, Steel


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfPart:
    """One part of the shop's shelf. None marks what the shelf does not say.

    Parameters
    ----------
    part : str
        The shop's own number.
    price : float or None
        In its currency, which is never converted [-].
    currency : str
        As the shelf writes it; empty without a price.
    weeks : float or None
        Until it is here; 0: it lies on the shelf [-].
    """

    part: str
    price: float | None = None
    currency: str = ""
    weeks: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfBar(ShelfPart):
    """One that is a bar.

    Parameters
    ----------
    section : Section
        Sizes in [m].
    steel : Steel
        Stresses in [Pa].
    holes : tuple of int
        Places [-] of its shapes, one a hole, in those of the rear bar it is sized for.
    numbers : tuple of int
        Which hole of the bar each of them is, counted from 1 [-]; not all fit every vehicle.
    drilled : int
        Holes that the bar has in all [-].
    link_rate : float or None
        Of each of the links that come with it [N/m].
    link_length : float or None
        Joint to joint [m].
    mass : float or None
        Weighed, without links [kg].
    """

    section: Section
    steel: Steel
    holes: tuple[int, ...]
    numbers: tuple[int, ...]
    drilled: int
    link_rate: float | None = None
    link_length: float | None = None
    mass: float | None = None
