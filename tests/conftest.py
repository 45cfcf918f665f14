"""What takes long and is always the same is worked out once in a process."""

import functools
import gc
import os

import pytest
from streamlit import config
from streamlit.components.v2 import manifest_scanner
from streamlit.testing.v1 import local_script_runner

from rollsim import roll, sizing

# Else every command in a process of its own compiles the project again.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

_afresh: list[str] = []  # names of the tests that want nothing kept: the one that runs


def _once(function):
    """The function, which keeps what it gave for equal arguments, where they can be compared."""
    kept = functools.cache(function)

    @functools.wraps(function)
    def of(*arguments, **named):
        try:
            hash((arguments, *named.values()))
        except TypeError:
            return function(*arguments, **named)
        return function(*arguments, **named) if _afresh else kept(*arguments, **named)

    return of


# Before anything takes them from there.
roll.results = _once(roll.results)
sizing.size = _once(sizing.size)

from rollsim import remedies  # noqa: E402

_worked_out = remedies.what_else_helps
_known: dict[tuple, tuple] = {}


def _helps(source, scenario, sizing):
    key = (source.text, source.tables, sizing.case, sizing.target, len(sizing.candidates))
    if key not in _known:
        _known[key] = _worked_out(source, scenario, sizing)
    return _known[key]


remedies.what_else_helps = _helps
# Every page that a test opens looks for components in all that is installed here: half a second.
manifest_scanner.scan_component_manifests = functools.cache(
    manifest_scanner.scan_component_manifests
)


def _wait(runner, timeout=3.0):
    runner._script_thread.join(timeout)
    if not runner.script_stopped():
        runner.request_stop()
        raise RuntimeError(f"the page was not done after {timeout} s")


# It asks a thousand times a second, and takes the core from the page that it waits for.
local_script_runner.require_widgets_deltas = _wait
# Else each run of a page ends by looking through all that lives.
config.set_option("runner.postScriptGC", False)


@pytest.fixture
def afresh():
    """All is worked out again, for who measures how long that takes."""


@pytest.fixture(autouse=True)
def _kept_or_not(request):
    """Nothing is kept where a test puts something else in the program's place."""
    if {"monkeypatch", "afresh"} & set(request.fixturenames):
        _afresh.append(request.node.name)
    yield
    _afresh.clear()


@pytest.fixture(autouse=True, scope="module")
def _frozen():
    """Each run of a page looks through all that lives for garbage: not through what stays."""
    gc.collect()
    gc.freeze()
