"""What takes long and is always the same is worked out once in a process."""

import functools

from streamlit.components.v2 import manifest_scanner
from streamlit.testing.v1 import local_script_runner

from rollsim import remedies

_worked_out = remedies.what_else_helps
_known: dict[tuple, tuple] = {}


def _once(source, scenario, sizing):
    key = (source.text, source.tables, sizing.case, sizing.target, len(sizing.candidates))
    if key not in _known:
        _known[key] = _worked_out(source, scenario, sizing)
    return _known[key]


remedies.what_else_helps = _once
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
