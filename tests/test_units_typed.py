"""What is typed into a form that is still open stays the same thing when the units change."""

import pytest

from tests import fit_page, owner_page


@pytest.mark.parametrize("page", ["fit", "carry"])
def test_what_is_typed_stays_when_the_units_change(page):
    if page == "fit":
        app = fit_page.page(mine="true", units="metric")
        weights = [box for box in app.text_input if box.label.startswith("Front left")]
        (box,) = weights
    else:
        app = owner_page.page()
        box = next(b for b in app.text_input if b.label.startswith("Empty, with the driver"))
    label = box.label.removesuffix(", kg")

    def shown(unit):
        return next(b.value for b in app.text_input if b.label == f"{label}, {unit}")

    box.set_value("588" if page == "fit" else "2050").run()
    typed = shown("kg")
    app.radio(key="units").set_value("imperial").run()
    assert not app.exception
    assert float(shown("lb")) == pytest.approx(float(typed) / 0.45359237, abs=0.06)
    app.radio(key="units").set_value("metric").run()
    assert shown("kg") == typed
