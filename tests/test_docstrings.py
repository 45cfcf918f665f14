"""Docstrings held against the code: sections, names of parameters, units."""

import dataclasses
import importlib
import inspect
import pkgutil
import re

import pytest

import rollsim

FRAMES = ("rollsim.page", "rollsim.__main__")
"""What only wires parts together."""

HEADING = re.compile(r"^([A-Z][a-z]+)\n-{3,}$", re.MULTILINE)
KNOWN_HEADINGS = ["Parameters", "Returns", "Yields", "Raises", "Notes", "Examples"]
NAMES = re.compile(r"^(\w+(?:, \w+)*) : ", re.MULTILINE)
UNIT = re.compile(r"\[[^\[\]]+\]")
NUMERIC = re.compile(r"\b(float|ndarray|ArrayLike)\b")
INDEXED = {"rollsim.equilibrium.balance.Balance.take", "rollsim.equilibrium.model.Model.take"}
"""Their array is an index: it has no unit."""

FEW = 2
"""With at most so many parameters one paragraph may do, where it names their units."""


def public_objects() -> dict[str, object]:
    """Functions, classes and methods of the package that do not begin with an underscore."""
    found = {}
    for info in pkgutil.walk_packages(rollsim.__path__, "rollsim."):
        if info.name.startswith(FRAMES):
            continue
        module = importlib.import_module(info.name)
        for name, thing in vars(module).items():
            own = getattr(thing, "__module__", None) == info.name
            if name.startswith("_") or not own:
                continue
            if inspect.isfunction(thing) or inspect.isclass(thing):
                found[f"{info.name}.{name}"] = thing
            if inspect.isclass(thing):
                found |= {
                    f"{info.name}.{name}.{inner}": value
                    for inner, value in vars(thing).items()
                    if not inner.startswith("_")
                    and (inspect.isfunction(value) or isinstance(value, property))
                }
    return found


OBJECTS = public_objects()
FUNCTIONS = {name: thing for name, thing in OBJECTS.items() if inspect.isfunction(thing)}
RECORDS = {
    name: thing
    for name, thing in OBJECTS.items()
    if inspect.isclass(thing) and dataclasses.is_dataclass(thing)
}


def sections(thing: object) -> dict[str, str]:
    """Text of a docstring by section; what comes before any heading under ""."""
    text = inspect.getdoc(thing) or ""
    parts = HEADING.split(text)
    return {"": parts[0], **dict(zip(parts[1::2], parts[2::2], strict=True))}


def documented(thing: object) -> list[str]:
    """Names in the Parameters section, in order."""
    return [
        name
        for line in NAMES.findall(sections(thing).get("Parameters", ""))
        for name in line.split(", ")
    ]


def signature(function: object) -> dict[str, str]:
    """Parameters and their hints, as text, without self and cls."""
    return {
        name: str(parameter.annotation)
        for name, parameter in inspect.signature(function).parameters.items()
        if name not in ("self", "cls")
    }


def is_text_only(hints: list[str]) -> bool:
    return not any(NUMERIC.search(hint) for hint in hints)


@pytest.mark.parametrize("name", OBJECTS)
def test_has_a_docstring_of_its_own(name):
    thing = OBJECTS[name]
    own = thing.fget.__doc__ if isinstance(thing, property) else thing.__doc__
    assert own, f"{name}: no docstring"
    generated = inspect.isclass(thing) and own.startswith(f"{thing.__name__}(")
    assert not generated, f"{name}: only what dataclass wrote"


@pytest.mark.parametrize("name", OBJECTS)
def test_sections_are_those_of_the_template_in_its_order(name):
    found = [heading for heading in sections(OBJECTS[name]) if heading]
    assert found == [heading for heading in KNOWN_HEADINGS if heading in found]


@pytest.mark.parametrize("name", FUNCTIONS)
def test_functions_are_hinted(name):
    function = FUNCTIONS[name]
    hints = function.__annotations__
    missing = [p for p in signature(function) if p not in hints]
    assert not missing, f"{name}: no type hint on {missing}"
    assert "return" in hints, f"{name}: no type hint on what it returns"


@pytest.mark.parametrize("name", FUNCTIONS)
def test_parameters_are_those_of_the_signature(name):
    function = FUNCTIONS[name]
    parts, wanted = sections(function), list(signature(function))
    if "Parameters" in parts:
        assert documented(function) == wanted
        assert {"Returns", "Yields"} & set(parts) or function.__annotations__["return"] is None
    else:
        assert len(wanted) <= FEW, f"{name}: {len(wanted)} parameters and no Parameters section"
        assert "\n\n" not in parts[""].strip(), f"{name}: more than a paragraph and no Parameters"


@pytest.mark.parametrize("name", RECORDS)
def test_records_name_their_fields(name):
    record = RECORDS[name]
    own = set(record.__annotations__)
    fields = [field.name for field in dataclasses.fields(record) if field.name in own]
    if "Parameters" in sections(record):
        assert sorted(documented(record)) == sorted(fields)


@pytest.mark.parametrize("name", OBJECTS)
def test_numbers_have_a_unit(name):
    thing = OBJECTS[name]
    if inspect.isclass(thing):
        numeric = dataclasses.is_dataclass(thing) and not is_text_only(
            [str(field.type) for field in dataclasses.fields(thing)]
        )
    else:
        function = thing.fget if isinstance(thing, property) else thing
        numeric = not is_text_only([str(hint) for hint in function.__annotations__.values()])
    if numeric and name not in INDEXED:
        text = inspect.getdoc(thing) or ""
        assert UNIT.search(text), f"{name}: no unit in brackets"


def test_the_rules_can_fail():
    def wrong(force: float, travel: float) -> float:
        """Work of a force.

        Parameters
        ----------
        force : float
            In newton.
        """
        return force * travel

    assert documented(wrong) == ["force"] != list(signature(wrong))
    assert "Returns" not in sections(wrong)
    assert not is_text_only(list(signature(wrong).values()))
    assert not UNIT.search(inspect.getdoc(wrong))
    assert set(OBJECTS) >= INDEXED
