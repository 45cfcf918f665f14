"""A plugin of pytest: the program with the change of `tests/mutations.py` in force."""

from tests.mutations import install

install()
