"""Who works without pause waits while others work; who is alone, or has paused, never does."""

import pytest
from streamlit.testing.v1 import AppTest

from rollsim.page import turns
from tests.fit_page import ROOT


@pytest.mark.parametrize(
    ("used", "since", "waits"),
    [
        (0.0, 0.0, 0.0),
        (turns.FREE, 0.0, 0.0),
        (2.15, 0.0, 1.5),
        (2.15, 1.0, 0.5),
        (2.15, 1.5, 0.0),
        (60.0, 0.0, turns.LONGEST),
    ],
)
def test_a_page_waits_until_its_session_has_used_its_share(used, since, waits):
    assert turns.owed(turns.left(used, since)) == pytest.approx(waits)


def test_who_never_pauses_computes_its_share_of_the_time():
    used, now, took = 0.0, 0.0, 0.1
    computed = 0.0
    while now < 1000.0:
        now += (waits := turns.owed(used)) + took
        used = turns.left(used, waits) + took
        computed += took
    idle = now - computed
    assert computed == pytest.approx(turns.FREE + turns.SHARE * idle, rel=1e-2)


@pytest.fixture
def rests(monkeypatch):
    found = []
    monkeypatch.setattr(turns, "_used", {})
    monkeypatch.setattr(turns, "sleep", found.append)
    return found


def opened(monkeypatch, session):
    """The page, run by this session; `AppTest` gives all of them one name."""
    monkeypatch.setattr(turns, "_reader", lambda: session)
    app = AppTest.from_file(str(ROOT / "app.py"), default_timeout=120).run()
    assert not app.exception
    return app


def test_a_session_alone_never_waits(rests, monkeypatch):
    monkeypatch.setattr(turns, "FREE", 0.0)
    opened(monkeypatch, "first").run()
    assert rests == []


def test_a_session_without_pause_waits_beside_another(rests, monkeypatch):
    monkeypatch.setattr(turns, "FREE", 0.0)
    opened(monkeypatch, "first")
    second = opened(monkeypatch, "second")
    assert rests == []  # the first page of a session comes at once
    second.run()
    assert len(rests) == 1
    assert 0.0 < rests[0] <= turns.LONGEST
