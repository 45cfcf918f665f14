"""A scenario with readings from the bay, and what was made of them."""

from rollsim import scenario
from tests.bad_input import TEXT


def read(text):
    return scenario.loads(text, "a.toml")


PLAIN = read(TEXT)


def tolerance(found, key):
    (one,) = (each for each in found.tolerances if each.key == key)
    return one


def measured(found, key):
    (line,) = (each for each in found.measured if each.startswith(f"{key} = "))
    return line
