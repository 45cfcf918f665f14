"""The page on method and limits: every caution stands there, and the documents it shows exist."""

import re
from pathlib import Path

from streamlit.testing.v1 import AppTest

from rollsim.cautions import BAR_CAUTIONS, FRAME_TWISTS, NOT_COUNTED, ROLL_CAUTIONS
from rollsim.page.method import TOLD_ABOVE

ROOT = Path(__file__).resolve().parents[1]


def opened() -> AppTest:
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=60)
    return app.switch_page("rollsim/page/method.py").run()


def test_every_caution_is_said():
    app = opened()
    assert not app.exception
    said = re.sub(r"\\(?=\W)", "", "\n".join(warning.value for warning in app.warning))
    left_out = re.sub(r"\\(?=\W)", "", "\n".join(one.value for one in app.markdown[:4]))
    for caution in {*ROLL_CAUTIONS, *BAR_CAUTIONS} - set(TOLD_ABOVE):
        assert said.count(caution) == 1
    assert left_out.count(FRAME_TWISTS) == 1  # among what is left out, with the others
    assert FRAME_TWISTS not in said
    assert len(re.findall("no rating", said)) == 1
    for one in re.split(", ", NOT_COUNTED.removeprefix("Left out: ").removesuffix(".")):
        assert one.removeprefix("of ")[:20].lower() in left_out.lower()


def test_the_documents_are_shown_without_links_that_lead_nowhere():
    app = opened()
    shown = "\n".join(element.value for element in app.markdown)
    for name in ("method.md", "nomenclature.md", "references.md"):
        heading = re.search(r"^## .+$", (ROOT / "docs" / name).read_text("utf-8"), re.MULTILINE)
        assert heading is None or heading[0] in shown
    assert not re.search(r"\]\([a-z#-]+", shown)
