"""A question on the trainer's page: a hint, an answer, a second try, and then the working."""

from collections.abc import Mapping
from dataclasses import dataclass

import streamlit as st

from rollsim.page import lesson, numbers
from rollsim.page.frame import plain
from rollsim.page.numbers import Allowed, Typed
from rollsim.reader_units import decimals_of
from rollsim.teaching import slips
from rollsim.teaching.questions import Question
from rollsim.teaching.slips import Outcome, Slip, Verdict

OPEN = "Show the working"


@dataclass(frozen=True, slots=True)
class Posed:
    """A question as the page poses it, and the figures by which an answer is known.

    They are in `unit`, as the label says. `model` is the full model's own figure, where it is
    another answer to the same question.
    """

    words: str
    label: str
    hint: str
    right: float
    slips: Mapping[Slip, float]
    model: float | None = None
    unit: str = ""


def of(question: Question) -> Posed:
    """A further question as it is asked here."""
    label = f"Your answer first: {question.title.lower()}, {question.unit}"
    return Posed(
        question.words,
        label,
        question.hint,
        question.right,
        question.slips,
        unit=question.unit,
    )


def ask(posed: Posed, *, key: str, empty: str = "") -> bool:
    """Ask, judge up to two answers, and say whether the working may be shown.

    It may after the right answer, after the second one, and when it is asked for; `empty` stands
    under the box until something is typed.
    """
    st.info(f"**{plain(posed.words)}**")
    with st.expander("A hint"):
        st.markdown(plain(posed.hint))
    allowed = Allowed(unit=posed.unit)
    typed = numbers.ask(
        posed.label, allowed, key=f"why_answer_{key}", placeholder="worked out or guessed"
    )
    if typed.value is None:
        if empty and not typed.wrong:
            st.caption(empty)
        return False
    if _told(posed, typed, last=False):
        return True
    again = numbers.ask(
        posed.label.replace("Your answer first", "Second try", 1),
        allowed,
        key=f"why_again_{key}",
    )
    if again.value is not None:
        _told(posed, again, last=True)
        return True
    return st.toggle(OPEN, key=f"why_open_{key}")


def judged(posed: Posed, answer: Typed) -> Verdict:
    """What an answer is, in the unit of the question."""
    room = _rounded_by(posed, answer)
    return slips.judge(answer.value, posed.right, posed.slips, rounded_by=room)


def _rounded_by(posed: Posed, answer: Typed) -> float:
    """By how much rounding may have moved an answer: half of its last typed digit.

    Never less than half of the last digit that the key prints; a whole number counts as meant to
    a tenth, unless the key prints whole ones too.
    """
    return 0.5 * 10.0 ** -min(max(answer.places, 1), decimals_of(posed.unit))


def _told(posed: Posed, answer: Typed, *, last: bool) -> bool:
    """Say what an answer is; whether it is right."""
    verdict = judged(posed, answer)
    right = verdict.outcome is Outcome.RIGHT
    models = posed.model is not None and abs(answer.value - posed.model) <= _rounded_by(
        posed, answer
    )
    if models and not right:
        st.info(f"**{plain(lesson.model_answer(verdict))}**")
    else:
        tell = st.success if right else st.warning
        tell(f"**{plain(lesson.verdict_words(verdict, last=last))}**")
    return right
