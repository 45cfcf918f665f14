"""One session while another sends the worst: every answer is right, and to neither an error.

The seconds are for the script to tell; no test is decided by them.
"""

from tests import beside_the_worst
from tests.beside_the_worst import KINDS

SENT = [
    "link to fit: 2,000 headers",
    "box: 101 loads",
    "log: name of 60,000 brackets",
]


def test_a_session_is_told_what_the_command_tells_while_another_sends_the_worst():
    with beside_the_worst.server() as (host, _):
        found = beside_the_worst.measure(host, 1, SENT, vehicles=1, settled=0.5, moves=3)
    assert found.wrong == []
    assert all(found.sent[one] for one in SENT)
    assert all(len(found.beside[one][kind]) > 0 for one in SENT for kind in KINDS)
    assert "times as long" in found.words()


def test_every_hostile_input_goes_over_every_way_in():
    ways = {one.partition(": ")[0] for one in beside_the_worst.inputs()}
    assert ways == {"link to fit", "link to vehicle", "box", "sheet", "log"}
    assert set(SENT) <= set(beside_the_worst.inputs())
