"""Docstrings held against the code: sections, names of parameters, units."""

import dataclasses
import importlib
import inspect
import pkgutil
import re

import rollsim

CORE = (
    *("units", "estimates", "springs", "bar", "roll_centre", "vehicle", "equilibrium", "mass"),
    *("roll", "balance", "tolerance", "sizing", "spring_check", "spring_options", "weighing"),
    *("measured", "road_test", "wheel_travel", "lift_check"),
)
"""Rooms of the physics and its figures: the full template."""

HEADING = re.compile(r"^([A-Z][a-z]+)\n-{3,}$", re.MULTILINE)
KNOWN_HEADINGS = ["Parameters", "Returns", "Yields", "Raises", "Notes", "Examples"]
NAMES = re.compile(r"^(\w+(?:, \w+)*) : ", re.MULTILINE)
UNIT = re.compile(r"\[[^\[\]]+\]")
NUMERIC = re.compile(r"\b(float|ndarray|ArrayLike)\b")
INDEXED = {"rollsim.equilibrium.balance.Balance.take", "rollsim.equilibrium.model.Model.take"}
"""Their array is an index: it has no unit."""

FEW = 2
"""With at most so many parameters one paragraph may do in the core, where it names their units."""


def public_objects() -> dict[str, object]:
    """Functions, classes and methods of the package that do not begin with an underscore."""
    found = {}
    for info in pkgutil.walk_packages(rollsim.__path__, "rollsim."):
        if info.name == "rollsim.__main__":
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


def core(objects: dict[str, object]) -> dict[str, object]:
    return {name: thing for name, thing in objects.items() if name.split(".")[1] in CORE}


def own_docstring(thing: object) -> str:
    text = (thing.fget.__doc__ if isinstance(thing, property) else thing.__doc__) or ""
    generated = inspect.isclass(thing) and text.startswith(f"{thing.__name__}(")
    return "" if generated else text


def hints_of(thing: object) -> list[str]:
    if inspect.isclass(thing):
        fields = dataclasses.fields(thing) if dataclasses.is_dataclass(thing) else ()
        return [str(field.type) for field in fields]
    function = thing.fget if isinstance(thing, property) else thing
    return [str(hint) for hint in function.__annotations__.values()]


def keeps_the_template(function: object) -> bool:
    """Parameters as in the signature, and what is returned; few may stand in a paragraph."""
    parts, wanted = sections(function), list(signature(function))
    if "Parameters" in parts:
        returns = {"Returns", "Yields"} & set(parts)
        silent = function.__annotations__.get("return") is None
        return documented(function) == wanted and bool(returns or silent)
    return len(wanted) <= FEW and "\n\n" not in parts[""].strip()


def test_every_public_object_has_a_docstring_of_its_own():
    assert [name for name, thing in OBJECTS.items() if not own_docstring(thing)] == []


def test_sections_are_those_of_the_template_in_its_order():
    def strange(thing: object) -> bool:
        found = [heading for heading in sections(thing) if heading]
        return found != [heading for heading in KNOWN_HEADINGS if heading in found]

    assert [name for name, thing in OBJECTS.items() if strange(thing)] == []


def test_functions_are_hinted():
    def bare(function: object) -> bool:
        return not {*signature(function), "return"} <= set(function.__annotations__)

    assert [name for name, function in FUNCTIONS.items() if bare(function)] == []


def test_the_core_has_the_full_template():
    found = core(FUNCTIONS).items()
    assert [name for name, function in found if not keeps_the_template(function)] == []


def test_elsewhere_a_paragraph_does():
    """Names and types stand in the signature; a docstring says what they do not."""
    outside = [name for name in FUNCTIONS if name not in core(FUNCTIONS)]
    listed = [name for name in outside if "Parameters" in sections(FUNCTIONS[name])]
    assert listed == []


def test_records_name_their_fields():
    def strange(record: type) -> bool:
        own = set(record.__annotations__)
        fields = [field.name for field in dataclasses.fields(record) if field.name in own]
        listed = "Parameters" in sections(record)
        return listed and sorted(documented(record)) != sorted(fields)

    assert [name for name, record in RECORDS.items() if strange(record)] == []


def test_numbers_of_the_core_have_a_unit():
    def without(name: str, thing: object) -> bool:
        if name in INDEXED or is_text_only(hints_of(thing)):
            return False
        return not UNIT.search(inspect.getdoc(thing) or "")

    assert [name for name, thing in core(OBJECTS).items() if without(name, thing)] == []


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
