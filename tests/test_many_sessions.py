"""Several sessions at once on one server: every answer the command's, no error, memory flat."""

from pathlib import Path

import pytest

from tests import many_sessions

FLAT = 30.0  # MiB


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="tells memory by /proc")
def test_sessions_with_vehicles_of_their_own_are_told_what_the_command_tells():
    with many_sessions.server() as (host, process):
        many_sessions.measure(host, process, sessions=1, seconds=0.5, pause=0.3)  # imports all
        before = many_sessions.memory(process)
        found = many_sessions.measure(host, process, sessions=3, seconds=3.0, pause=0.3)
        after = many_sessions.memory(process)
    assert found.wrong == []
    assert len(found.slider) > 5
    assert after - before < FLAT


def test_an_answer_that_is_not_the_commands_is_told():
    ours = many_sessions.by_the_command(many_sessions.vehicle(0))
    other = many_sessions.by_the_command(many_sessions.vehicle(1))
    assert all(ours[title][0.4] != other[title][0.4] for title in ours)
