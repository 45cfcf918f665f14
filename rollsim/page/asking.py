"""A question on the trainer's page: a hint, an answer, a second try, and then the working."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

import streamlit as st

from rollsim.page import lesson, numbers
from rollsim.page.frame import plain
from rollsim.page.numbers import Allowed
from rollsim.teaching import mistakes
from rollsim.teaching.mistakes import Outcome
from rollsim.teaching.questions import Question

OPEN = "Show the working"


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked, and the figures by which an answer is known, in the unit of the label.

    `model` is the full model's own figure, where it is another answer to the same question.
    """

    words: str
    label: str
    hint: str
    right: float
    slips: Mapping[Enum, float]
    model: float | None = None
    unit: str = ""


def of(question: Question) -> Asked:
    """A further question as it is asked here."""
    label = f"Your answer first: {question.title.lower()}, {question.unit}"
    return Asked(
        question.words,
        label,
        question.hint,
        question.right,
        question.slips,
        unit=question.unit,
    )


def ask(asked: Asked, *, key: str, empty: str = "") -> bool:
    """Ask, judge up to two answers, and say whether the working may be shown.

    It may after the right answer, after the second one, and when it is asked for; `empty` stands
    under the box until something is typed.
    """
    st.info(f"**{plain(asked.words)}**")
    with st.expander("A hint"):
        st.markdown(plain(asked.hint))
    allowed = Allowed(unit=asked.unit)
    typed = numbers.ask(
        asked.label, allowed, key=f"why_answer_{key}", placeholder="worked out or guessed"
    )
    if typed.value is None:
        if empty and not typed.wrong:
            st.caption(empty)
        return False
    if _told(asked, typed.value, last=False):
        return True
    again = numbers.ask(
        asked.label.replace("Your answer first", "Second try", 1),
        allowed,
        key=f"why_again_{key}",
    )
    if again.value is not None:
        _told(asked, again.value, last=True)
        return True
    return st.toggle(OPEN, key=f"why_open_{key}")


def _told(asked: Asked, answer: float, *, last: bool) -> bool:
    """Say what an answer is; whether it is right."""
    rounded_by = mistakes.half_last_digit(answer)
    verdict = mistakes.judge(answer, asked.right, asked.slips, rounded_by=rounded_by)
    right = verdict.outcome is Outcome.RIGHT
    models = asked.model is not None and abs(answer - asked.model) <= rounded_by
    if models and not right:
        st.info(f"**{plain(lesson.model_answer(verdict))}**")
    else:
        tell = st.success if right else st.warning
        tell(f"**{plain(lesson.verdict_words(verdict, last=last))}**")
    return right
