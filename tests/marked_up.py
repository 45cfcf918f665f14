"""Texts full of marks, and one scenario with them in every place that takes free text."""

from html.parser import HTMLParser
from pathlib import Path

from rollsim.scenario.editing import added, changed

ROOT = Path(__file__).parents[1]
HOST = "x.test"
MARKS = (
    f"![i](//{HOST}/i)",
    f"<img src=//{HOST}>",
    "**b**",
    "_e_",
    "~~s~~",
    "`c`",
    f"http://{HOST}",
    f"www.{HOST}",
    f"a@{HOST}",
    f"[l](//{HOST})",
    ":red[r]",
    ":material/home:",
    ":smile:",
    "$x$",
    "&copy;",
    "a -> b",
    "<script>a()</script>",
)
STARTS = ("# ", "- ", "1. ", "> ", "```", "---", "| ", "===", "+ ", "2) ")
ALL = " ".join(MARKS)


def marked(name: str, number: int) -> str:
    """A name with every mark, another at its beginning for each number."""
    return f"{STARTS[number % len(STARTS)]}{name} {number} {ALL}"


def tame(name: str, number: int) -> str:
    """The same name without a mark."""
    return f"{name} of {number}"


def scenario(called) -> str:
    """An invented vehicle with free texts from `called(name, number)` wherever they may stand."""
    text = (ROOT / "scenarios" / "crew-cab-touring.toml").read_text("utf-8")
    case, week = called("touring", 1), called("work week", 2)
    texts = {"title": called("title", 0), "vehicle.name": called("vehicle", 3)}
    for number, cases in enumerate(([week], None, [case], [case])):
        texts[f"load[{number}].name"] = called("load", 4 + number)
        if cases:
            texts[f"load[{number}].cases"] = cases
    texts |= {"target.case": case, "rear_bar.material": None, "rear_bar.sections": None}
    text = changed(text, texts)
    for number, sections in ((8, ["20 mm solid", "24 mm solid"]), (9, ["22 mm solid"])):
        steel = {"name": called("steel", number), "allowable_stress": "900 MPa"}
        text = added(text, "rear_bar.stock", {"material": steel, "sections": sections})
    option = {"name": called("option", 10), "rear": {"rate": "44 N/mm"}}
    return added(text, "spring_option", option)


def wrong(called) -> str:
    """Errors that name what came: a file, a word, a key, a unit."""
    text = scenario(called)
    keys = {
        "rear.spring.rate": None,
        "rear.spring.second_stage": None,
        "rear.spring.table": f"{called('file', 1)}.csv",
        "rear.suspension": f"{called('axle', 2)}\n\n# h",
        "front.track": f"1560 {called('unit', 3)}",
        "target.case": called("no case", 4),
    }
    return changed(text, keys)


class Census(HTMLParser):
    """Every element of a page with the names of its attributes, and all of its text."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, tuple[str, ...]]] = []
        self.text = ""
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, tuple(name for name, _ in attrs)))

    def handle_data(self, data: str) -> None:
        self.text += data
