"""What takes seconds and is the same for the same text is worked out once in a process."""

from rollsim import remedies

_worked_out = remedies.what_else_helps
_known: dict[tuple, tuple] = {}


def _once(source, scenario, sizing):
    key = (source.text, source.tables, sizing.case, sizing.target, len(sizing.candidates))
    if key not in _known:
        _known[key] = _worked_out(source, scenario, sizing)
    return _known[key]


remedies.what_else_helps = _once
