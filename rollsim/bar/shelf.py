"""A bar as the shop can have it: its own part number, what it is made of, price and weeks."""

from dataclasses import dataclass

from rollsim.bar.steel import Section, Steel


@dataclass(frozen=True, slots=True)
class ShelfBar:
    """One part of the shop's shelf that is a bar. None marks what the shelf does not say.

    Parameters
    ----------
    part : str
        The shop's own number.
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
    price : float or None
        In its currency, which is never converted [-].
    currency : str
        As the shelf writes it; empty without a price.
    weeks : float or None
        Until it is here; 0: it lies on the shelf [-].
    """

    part: str
    section: Section
    steel: Steel
    holes: tuple[int, ...]
    numbers: tuple[int, ...]
    drilled: int
    link_rate: float | None = None
    link_length: float | None = None
    mass: float | None = None
    price: float | None = None
    currency: str = ""
    weeks: float | None = None
