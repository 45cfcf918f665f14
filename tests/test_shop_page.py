"""The page The shop: sheets in, what they say, a vehicle that comes back, the shelf against all."""

import math
from datetime import date

import pytest

from rollsim.record import JobRecord, embed_job
from rollsim.scenario.embedded import Source, embed
from tests.builders import ROOT
from tests.fit_page import page, words

TEXT = (ROOT / "scenarios" / "crew-cab-touring.toml").read_text("utf-8")
SHELF = (ROOT / "scenarios" / "shelf-demo.csv").read_bytes()


def sheet(number: int, *, tested: bool = False) -> bytes:
    """Of one of six vehicles that came out 5 % above what was predicted, give or take."""
    job = JobRecord(
        registration=f"AB {number}",
        date=date(2026, 1, 1 + number).isoformat(),
        vehicle="Demo crew-cab",
        vehicle_class="crew-cab truck",
        case="touring",
        bar="25 mm solid",
        before=0.04,
        predicted=0.03,
        measured=0.03 * (1.05 + 0.01 * (-1) ** number) if tested else math.nan,
        time="17:00:00" if tested else "09:00:00",
        unladen=0.03,
        open_items=("12 values assumed, not measured",),
    )
    text = TEXT.replace("work week and touring load", f"vehicle {number}")
    text += f'\n[job]\nregistration = "AB {number}"\n' + 'lean_after = "1.8 deg"\n' * tested
    html = embed(Source(f"v{number}.toml", text)) + embed_job(job)
    return html.encode()


@pytest.fixture(scope="module")
def shop():
    app = page(job="true")
    app.file_uploader[0].upload("shelf.csv", SHELF, "text/csv").run()
    app = app.switch_page(str(ROOT / "rollsim" / "page" / "shop.py")).run()
    uploader = app.file_uploader(key="shop:files")
    files = [
        (f"{name}{n}.html", sheet(n, tested=name == "a"), "text/html")
        for n in range(6)
        for name in "ab"
    ]
    uploader.set_value([*files, ("x.html", b"<html>other</html>", "text/html"), files[0]])
    return app.run()


def test_a_customer_comes_back_after_a_year(shop):
    told = words(shop)
    assert not shop.exception
    assert (
        "On this shop's 6 measured vehicles, the lean came out 5.0 % above the prediction" in told
    )
    assert "crew-cab truck: 1.7° empty at 0.3 g, 6 vehicles" in told
    assert "x.html was skipped: no job sheet of this program, or a damaged one" in told
    shop.button("shop:range").click().run()
    told = words(shop)
    assert "12 vehicles and load cases: a bar fits 12" in told
    shop.selectbox[-1].set_value("AB4").run()
    assert "The lean measured after the last work is taken out." in words(shop)
    shop.button("shop:again").click().run()
    assert 'title = "Crew-cab, vehicle 4"' in shop.session_state["frame:text"]
    assert "lean_after" not in shop.session_state["frame:text"]
    # What was answered was of these sheets: with one more it has to be asked again.
    shop.file_uploader(key="shop:files").set_value([("n.html", sheet(9), "text/html")]).run()
    assert "a bar fits" not in words(shop)
    # And beside the band of the next bar stands what the shop has found.
    fit = shop.switch_page(str(ROOT / "rollsim" / "page" / "fit.py"))
    fit.query_params["sure"] = "true"
    assert "On this shop's 6 measured vehicles" in words(fit.run())
