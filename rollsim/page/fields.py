"""The inputs of a scenario as fields of a page: what stands in them, what is wrong with them."""

import re
from collections.abc import MutableMapping, Sequence

from rollsim.bar import parse_section
from rollsim.page import numbers
from rollsim.page.frame import folder
from rollsim.page.listed import LISTS, counted_from_0
from rollsim.reader_units import METRIC, ReaderUnits, in_units, own_unit
from rollsim.scenario import ScenarioError, Source, loads
from rollsim.scenario import emptied as emptied_fields
from rollsim.scenario.editing import Value, changed, value
from rollsim.scenario.embedded import SUFFIXES, extract
from rollsim.scenario.emptied import Emptied
from rollsim.scenario.inputs import Input, Kind, Mark, inputs, mark
from rollsim.scenario.keys import bare
from rollsim.scenario.shelf import is_inline, self_contained

GROUPS = {
    "vehicle": "On the scales",
    "front": "Front axle",
    "rear": "Rear axle",
    "load": "Load items",
    "change": "Lift and changes",
    "ratings": "Ratings",
    "target": "Target",
    "rear_bar": "Bar to be sized",
    "front_bar": "Front bar to go with it",
    "spring_option": "Other springs",
    "lean_test": "Lean test",
    "limits": "Limits",
    "job": "For the record",
}
_TOP = {"title": "vehicle", "spring_shelf": "spring_option"}  # keys in no table: their group
_FOLDS = {  # part of a key: name of the fold
    "front": "Front spring",
    "rear": "Rear spring",
    "spring": "Spring",
    "bump_stop": "Bump stop",
    "rebound_limit": "Full droop (rebound limit)",
    "tyre": "Tyre",
    "bar": "Anti-roll bar that is on it",
    "shape": "Shape of the bar that is on",
    "helical": "From the dimensions of its coil",
    "leaf_pack": "From the dimensions of its leaves",
    "front_spring": "Another front spring",
    "rear_spring": "Another rear spring",
    "material": "A steel of your own",
    "cg_height_test": "CG height by lifting an axle",
    "roll_centre": "Roll centre by tape",
    "leaf_springs": "leaf springs",
    "panhard_rod": "panhard rod",
    "double_wishbone": "double wishbones",
    "strut": "strut",
    "load_test": "From a load test",
    "tank": "A part-full tank",
    "weighed": "Weighed without and with it",
    "aboard": "What is moved in the test",
    "alignment": "Alignment: how its wheels stand",
    "tie_rod": "its tie rod",
    "readings_after": "readings once the work is done",
    "damper": "Damper, one side",
    "leaf_and_shackle": "Leaf spring and shackle as they stand",
    "front_damper": "Other front dampers",
    "rear_damper": "Other rear dampers",
}
_USUAL_OF_A_BAR = (
    *("section", "arm_holes", "centre_length", "bush_spacing"),
    *("installation_ratio", "link_spacing", "link_end_rate", "roll_stiffness"),
)
_OF_THE_OTHER_AXLE = {"solid axle": "installation_ratio", "independent": "link_spacing"}
_LARGEST_UPLOAD = 2_000_000  # bytes
_WIDGET = "vehicle:field:"
_WORDS = {  # where the key alone does not tell; the shop's word first
    "vehicle.cg_height": "CG height (centre of gravity)",
    "roll_centre_height": "roll centre height",
    "roll_centre_travel_ratio": "roll centre moves with the body (travel ratio)",
    "spring_height": "spring as it stands (spring height)",
    "spring.second_stage.after": "helper leaves (second stage), gap",
    "spring.second_stage.rate": "helper leaves (second stage), rate",
    "rebound_limit": "full droop (rebound limit)",
    "rebound_limit.gap": "full droop (rebound limit), gap",
    "rebound_limit.rate": "full droop (rebound limit), rate",
    "rebound_limit.base": "full droop (rebound limit), base",
    "rebound_limit.motion_ratio": "full droop (rebound limit), motion ratio",
    "auxiliary_roll_stiffness": "bush and leaf twist (auxiliary roll stiffness)",
    "bar.section": "diameter, solid or x wall (section)",
    "bar.arm_holes": "arm length, square (arm hole)",
    "bar.centre_length": "centre section, bend to bend",
    "bar.bush_spacing": "bush to bush",
    "bar.link_spacing": "link to link",
    "bar.installation_ratio": "link travel per wheel travel (installation ratio)",
    "bar.roll_stiffness": "bar stiffness per axle (roll stiffness)",
    "bar.link_end_rate": "bar stiffness at the link (link-end rate)",
    "target.roll_gradient": "lean per g wanted (roll gradient)",
}


class Errors:
    """Every error of a scenario, by the field that it belongs to.

    The lines are as `ScenarioError` has them: file, key, what came, what is allowed, what to do.
    The name of the file, with which each begins, may hold a colon of its own.
    """

    def __init__(self, lines: tuple[str, ...], file: str = "") -> None:
        self._lines = [_split(line, file) for line in lines]
        self._found = [(counted_from_0(where), text) for where, text in self._lines]

    def __bool__(self) -> bool:
        return bool(self._found)

    def at(self, key: str) -> tuple[str, ...]:
        """What is wrong with the field of one key, or with an item of the list in it."""
        return tuple(text for where, text in self._found if _belongs(where, key))

    def count_under(self, prefix: str) -> int:
        """How many errors [-] lie under a prefix of keys."""
        return sum(where.startswith(prefix) for where, _ in self._found)

    def count_in(self, group: str) -> int:
        """How many errors [-] lie in a group of the file."""
        return sum(_group(where) == group for where, _ in self._found)

    def of_tables(self, keys: Sequence[str], tables: Sequence[str]) -> dict[str, tuple[str, ...]]:
        """Errors of whole tables, each with the key that it names, by where they stand.

        That is one of the `tables` of a list, or a part as `place` names it; "" holds those of no
        part that the page has. What belongs to one of the `keys` has a field and is left out.
        """
        found: dict[str, list[str]] = {}
        for (told, text), (where, _) in zip(self._lines, self._found, strict=True):
            if any(_belongs(where, key) for key in keys):
                continue
            inside = [table for table in tables if f"{where}.".startswith(f"{table}.")]
            here = max(inside, key=len) if inside else _place_of(where)
            found.setdefault(here, []).append(f"{told}: {text}" if told else text)
        return {here: tuple(lines) for here, lines in found.items()}


def place(group: str, title: str) -> str:
    """Where the errors of a whole table stand: the fold of a title in a group, or in sight."""
    return f"{group}: {title}"


def _place_of(where: str) -> str:
    """The part of the page that a table or an unknown key belongs to; empty: none."""
    group, steps = _group(where), where.split(".")[1:]
    if group not in GROUPS:
        return ""
    titles = parts(of_group(group))
    while steps and _fold(steps) not in titles:
        steps = steps[:-1]
    return place(group, _fold(steps))


def _belongs(where: str, key: str) -> bool:
    return where == key or re.fullmatch(r"(\[\d+\])+", where.removeprefix(key)) is not None


def _split(line: str, file: str) -> tuple[str, str]:
    """Key and text of an error; the file's name is left out."""
    known = file and line.startswith(f"{file}: ")
    rest = line[len(file) + 2 :] if known else line.partition(": ")[2] or line
    key, colon, text = rest.partition(": ")
    return (key, text) if colon and " " not in key else ("", rest)


def _group(key: str) -> str:
    head = key.split(".")[0].split("[")[0]
    return _TOP.get(head, head)


def of_group(group: str) -> tuple[Input, ...]:
    """The inputs of one group, with keys that stand in no table."""
    plain = (one for one in inputs() if "[]" not in one.key)
    return tuple(one for one in plain if _group(one.key) == group)


def parts(found: Sequence[Input]) -> dict[str, tuple[Input, ...]]:
    """The inputs of a group by the fold that they stand in; those in sight under ""."""
    sorted_in: dict[str, list[Input]] = {}
    for one in found:
        steps = one.key.split(".")[1:]
        inside = steps if one.kind is Kind.TEXT and steps[-1:] != ["material"] else steps[:-1]
        if steps == ["spring_height"]:
            inside = ["spring"]  # the axle's, and asked for beside its spring
        sorted_in.setdefault(_fold(inside), []).append(one)
    return {title: tuple(sorted_in[title]) for title in sorted(sorted_in, key=bool)}


def usual_first(
    found: Sequence[Input], text: str, wrong: Errors
) -> tuple[tuple[Input, ...], tuple[Input, ...]]:
    """Inputs of a fold: those usually asked for, stated or wrong first, then the others."""
    names = {one.key: one.key.rpartition(".")[2] for one in found if ".bar." in one.key}
    if not names:
        return tuple(found), ()
    suspension = typed(text, f"{found[0].group}.suspension")
    other = _OF_THE_OTHER_AXLE.get(bare(str(suspension)), "link_spacing")
    asked = [name for name in _USUAL_OF_A_BAR if name != other]
    usual = sorted(
        (one for one in found if names.get(one.key) in asked),
        key=lambda one: asked.index(names[one.key]),
    )
    others = [one for one in found if one not in usual]
    told = [one for one in others if typed(text, one.key) is not None or wrong.at(one.key)]
    return (*usual, *told), tuple(one for one in others if one not in told)


def lists_of(group: str) -> dict[str, tuple[str, ...]]:
    """The lists of tables in a group by the fold that they stand in; those in sight under ""."""
    sorted_in: dict[str, list[str]] = {}
    for name in (name for name in LISTS if _group(name) == group):
        sorted_in.setdefault(_fold(name.split(".")[1:-1]), []).append(name)
    return {title: tuple(names) for title, names in sorted_in.items()}


def _fold(steps: Sequence[str]) -> str:
    if steps[:1] == ["bar"]:
        steps = steps[:1]  # the steel of a bar stands with the bar
    return ": ".join(_FOLDS[step] for step in steps if step in _FOLDS)


def readable(text: str) -> bool:
    """Whether a text is TOML at all, so that fields can be shown."""
    try:
        value(text, "title")
    except ValueError:
        return False
    return True


def scenario_of(data: bytes, name: str) -> tuple[bytes, str]:
    """The scenario in an uploaded job sheet with its name; any other file as it is."""
    if not name.lower().endswith(SUFFIXES) or len(data) > _LARGEST_UPLOAD:
        return data, name
    held = extract(data.decode("utf-8", errors="replace"))
    return (data, name) if held is None else (_whole(held).encode("utf-8"), held.name)


def _whole(held: Source) -> str:
    return self_contained(held.text, dict(held.tables))


def refuse_upload(data: bytes, name: str) -> tuple[str, ...]:
    """Why an uploaded file cannot be used, every error; empty where it can."""
    if len(data) > _LARGEST_UPLOAD:
        return ("it is larger than 2 MB",)
    if name.lower().endswith(SUFFIXES):
        return ("it holds no scenario, or a damaged one; open a job sheet as it was written",)
    try:
        loads(decoded(data), name, folder())
    except UnicodeDecodeError:
        return ("it is not UTF-8 text; save it as plain text in UTF-8",)
    except ScenarioError as wrong:
        return wrong.errors
    return ()


def decoded(data: bytes) -> str:
    """The text of a file; a byte-order mark is no part of it."""
    return data.decode("utf-8-sig")


def typed(text: str, key: str) -> Value | None:
    """What stands at a key of the text."""
    return value(text, key)


def widget_key(key: str) -> str:
    """Name of the field of a key."""
    return f"{_WIDGET}{key}"


def fill(state: MutableMapping[str, object], field: str, wanted: object) -> None:
    """Put into a field what belongs there.

    Only what differs: a value that is set takes the place of what is being typed.
    """
    if field not in state or state[field] != wanted:
        state[field] = wanted


def forget(state: MutableMapping[str, object]) -> None:
    """Drop every field's own memory: the text alone counts."""
    for key in [key for key in state if str(key).startswith(_WIDGET)]:
        del state[key]


def shown(one: Input, now: Value | None) -> str | bool:
    """What a field shows for a value of the text."""
    if one.kind is Kind.FLAG:
        return now is True
    if now is None:
        return ""
    if isinstance(now, list) and one.kind is Kind.POINTS:
        return "; ".join(", ".join(map(str, p)) if isinstance(p, list) else str(p) for p in now)
    if isinstance(now, list):
        return ", ".join(str(part) for part in now)
    if isinstance(now, str) and is_inline(now):
        return f"{len(now.splitlines())} lines, in the file"
    return str(now)


def label(one: Input, now: Value | None) -> str:
    """Name of a field in words, and where its value comes from."""
    inside, words = one.key.partition(".")[2] or one.key, in_words(one.key)
    if now is None and one.required and "." not in inside:
        return f"{words} · needed"
    where = mark(now)
    typed_in = one.kind in (Kind.QUANTITY, Kind.NUMBER) or where is Mark.ASSUMED
    if where is Mark.ABSENT or not typed_in:
        return words
    return f"{words} · {where.value}"


def in_words(key: str) -> str:
    """Name of a key within its group, the shop's word first."""
    inside = key.partition(".")[2] or key
    own = re.sub(r"^(front|rear)\.", "", inside) if key.startswith("spring_option") else inside
    words = _WORDS.get(key) or _WORDS.get(inside) or _WORDS.get(f"spring.{own}")
    words = words or own.partition("].")[2] or own
    words = words.replace("_", " ").replace(".", ", ").replace("unsprung cg", "unsprung CG")
    return f"{words[:1].upper()}{words[1:]}"


def whole_words(key: str) -> str:
    """A key in the shop's words, its group before it.

    Examples
    --------
    >>> whole_words("front.track"), whole_words("load[2].mass"), whole_words("title")
    ('front, track', 'load item 2, mass', 'title')
    """
    group, _, inside = key.partition(".")
    words = in_words(key)
    if not words.startswith("CG"):
        words = f"{words[:1].lower()}{words[1:]}"
    group = re.sub(r"\[(\d+)\]", r" item \1", group.replace("_", " "))
    return f"{group}, {words}" if inside else words


def line_in_words(line: str) -> str:
    """A line "key = value (why)" with the key in the shop's words.

    Examples
    --------
    >>> line_in_words("front.track = 1560 mm (assumed in the file; tape: tyre to tyre)")
    'front, track: 1560 mm (assumed in the file; tape: tyre to tyre)'
    """
    key, mark, rest = line.partition(" = ")
    return f"{whole_words(key)}: {rest}" if mark and " " not in key else line


def allowed(one: Input, units: ReaderUnits = METRIC) -> str:
    """What is allowed, ranges in the reader's units [kg or lb, mm or in …]; either may be typed.

    Examples
    --------
    >>> from rollsim.reader_units import READER_UNITS, UnitSystem
    >>> track = next(one for one in inputs() if one.key == "front.track")
    >>> allowed(track), allowed(track, READER_UNITS[UnitSystem.IMPERIAL])
    ('1000 mm to 2500 mm', '39.37 in to 98.43 in')
    """

    return in_units(one.allowed, units)


def how(one: Input, units: ReaderUnits = METRIC) -> str:
    """How an input is measured, and what is allowed."""
    measure = f"{one.measure[:1].upper()}{one.measure[1:]}"
    well = f" How well (common practice, no source): {one.how_well}." if one.how_well else ""
    words = in_units(f"{measure}.{well} Allowed: {one.allowed}.", units)
    return f"{words} In the file: {one.key}"


def unit_of(one: Input, units: ReaderUnits = METRIC) -> str:
    """The unit that a number alone is in: the one in which `allowed` has the range."""
    return own_unit(one.unit, units)


def put_in(text: str, one: Input, now: str | bool, units: ReaderUnits = METRIC) -> str:
    """The text with what was typed, right or wrong; an emptied field takes its key out.

    A number without a unit is in the reader's.
    """
    return changed(text, {one.key: _written(one, now, units)})


def put_back(
    text: str, one: Input, now: str | bool, *, emptied: Emptied, units: ReaderUnits = METRIC
) -> tuple[str, Emptied]:
    """As `put_in`; what was emptied before is typed again at its old place, with its comment."""
    new = _written(one, now, units)
    return emptied_fields.put_back(text, one.key, new, emptied=emptied)


def summary(found: Sequence[Input], text: str) -> str:
    """What is given in a fold or an item, in one line; empty where nothing is."""
    told = []
    for one in found:
        now = typed(text, one.key)
        if now is None or one.kind is Kind.FLAG:
            continue
        told.append(f"{_short(one)} {shown(one, now)}".strip())
    return ", ".join(told)


def _short(one: Input) -> str:
    """Name of an input within its fold; empty for the word that stands for all of it."""
    inside = re.sub(r"^\w+(\[\d+\])?\.", "", one.key)
    steps = inside.split(".")
    if steps[-1] in _FOLDS:
        return ""
    words = _WORDS.get(inside, steps[-1]) if "second_stage" in steps else steps[-1]
    return re.sub(r" \(.*?\)|,", "", words).replace("_", " ")


def _written(one: Input, now: str | bool, units: ReaderUnits) -> Value | None:
    """What the file takes for what was typed."""
    unit = unit_of(one, units)
    if isinstance(now, bool):
        return now or None
    now = now.strip()
    if not now:
        return None
    if one.kind is Kind.POINTS:
        points = [point.split(",") for point in now.split(";")]
        return [[numbers.for_the_file(x.strip(), unit) for x in point] for point in points]
    sections = one.key.rpartition(".")[2] in ("section", "sections")
    if one.kind is Kind.LIST and re.search(r"\d,\d", now):  # 22.5, or 22 and 5: refused as it is
        return now if sections else [now]
    if sections:
        return _sections(one, now, units.length)
    if one.kind is Kind.LIST:
        listed = [part.strip() for part in now.split(",")]
        return [numbers.for_the_file(part, unit) for part in listed] if unit else listed
    if one.kind is Kind.NUMBER:
        number = numbers.read(now).value
        return numbers.for_the_file(now, "") if number is None else number
    return numbers.for_the_file(now, unit) if one.kind is Kind.QUANTITY else now


def _sections(one: Input, now: str, length: str) -> Value:
    """One section or several; a diameter alone is that of a round bar."""
    listed = [part.strip() for part in now.split(",")] if one.kind is Kind.LIST else [now]
    listed = [
        f"{numbers.for_the_file(part, length)} solid" if numbers.is_length(part) else part
        for part in listed
    ]
    if one.kind is not Kind.LIST or (
        one.either and len(listed) == 1 and not _is_section(listed[0])
    ):
        return listed[0]
    return listed


def _is_section(words: str) -> bool:
    """One section, not the name of a built-in list of them."""
    try:
        parse_section(words)
    except ValueError:
        return False
    return True
