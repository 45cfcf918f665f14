"""How sure is the lean, and what to measure to firm it up: tolerances carried to the answer."""

import math

import pandas as pd
import streamlit as st

from rollsim.page import downloads, fields, frame, record_here
from rollsim.page.answers import Answer
from rollsim.page.frame import plain, show_table
from rollsim.page.outcome import HOW_SURE
from rollsim.reader_units import figure
from rollsim.roll import SECANT_AT
from rollsim.scenario import Scenario
from rollsim.scenario.inputs import inputs
from rollsim.tell.names import state_words
from rollsim.tell.of_cab_loss import cab_loss_words
from rollsim.tolerance import (
    AS_ORDERED,
    OrderedBar,
    band,
    bar_shifting,
    chance_of_target,
    drawn_keys,
    influences,
    lean_samples,
    ordered,
    shifting,
    wanted_samples,
    without_effect,
)
from rollsim.tolerance.cab_loss import CabLoss, cab_loss
from rollsim.wording import chance_words, doubt_words

EXAMPLE = "1130 kg ± 10 kg"
_MOVES = ("vehicle", "front", "rear", "load", "change")
LEAST_SHARE = 0.02  # of the variance: less is not worth a tape


def show(found: Answer) -> None:
    """The band of the lean, the chance of landing on target, and the inputs it hangs on."""
    with st.expander(
        HOW_SURE,
        icon=":material/straighten:",
        key="sure",
        bind="query-params",
        on_change="rerun",
    ) as part:
        if part.open:
            _show_all(found)


def how_sure(found: Answer) -> None:
    """The band of a provisional answer, right under it: its digits are those of guesses."""
    if not found.scenario.assumed_of_rear or found.sizing is None or found.sizing.choice is None:
        return
    if not shifting(found.scenario.tolerances) or found.bar is None:
        return
    bar = ordered(found.bar, found.scenario.rear_bar)
    ends, chance = _sure(frame.text(), found.scenario, case=found.sizing.case, bar=bar)
    words = _band_words(found.sizing.case, ends, with_bar=True)
    st.markdown(plain(f"{words}{_chance_words(found, chance)}"))
    record_here.show()


def doubt(found: Answer) -> str:
    """That the bar that is chosen misses too often, for the answer; empty where it does not."""
    sizing, known = found.sizing, found.scenario.tolerances
    if sizing is None or sizing.choice is None or not (shifting(known) or bar_shifting(known)):
        return ""
    bar = ordered(sizing.choice, found.scenario.rear_bar)
    _, chance = _sure(frame.text(), found.scenario, case=sizing.case, bar=bar)
    return doubt_words(chance, found.scenario.job)


def lost_in_the_cab(found: Answer) -> None:
    """What the bar that is shown loses in the cab of a frame that twists."""
    if found.bar is None or found.scenario.job.vehicle.frame_torsional_stiffness is None:
        return
    bar = ordered(found.bar, found.scenario.rear_bar)
    loss = _lost(frame.text(), found.scenario, case=found.sizing.case, bar=bar)
    st.markdown(plain(cab_loss_words(loss)))


def _chance_words(found: Answer, chance: float | None) -> str:
    if chance is None:
        return ""
    return f" {chance_words(chance, found.scenario.job)}"


def _show_all(found: Answer) -> None:
    left_out = _left_out(found.scenario, with_bar=found.bar is not None)
    for why, names in left_out.items():
        st.caption(plain(f"Tolerances not carried to the lean: {', '.join(names)} ({why})."))
    known = found.scenario.tolerances
    if not shifting(known) and (found.bar is None or not bar_shifting(known)):
        other = "other " if left_out else ""
        st.caption(
            f"No {other}input has a tolerance. Type how well each is known on the page Vehicle, "
            f"such as {frame.said(EXAMPLE)}, and this tells how sure the lean is."
        )
        return
    bar = None
    if found.bar is not None:
        bar = ordered(found.bar, found.scenario.rear_bar)
    case = found.before[-1].name if found.sizing is None else found.sizing.case
    ends, chance = _sure(frame.text(), found.scenario, case=case, bar=bar)
    shares = _carried(frame.text(), found.scenario, case=case, bar=bar)
    words = _band_words(case, ends, with_bar=bar is not None)
    st.markdown(f"**{plain(words + _chance_words(found, chance))}**")
    record_here.show()
    table = _table(shares)
    if len(table):
        st.markdown("Measure these better, the first one first:")
        show_table(table, hide_index=True, alt="Inputs by what they add to the uncertainty")
        downloads.table_button(table, "what to measure")


def _band_words(case: str, ends: tuple[float, float], *, with_bar: bool) -> str:
    """The band in a sentence; a vehicle that may tip has no upper end."""
    low, high = (figure(end, "deg/g") for end in ends)
    fitted_words = " with this bar" if with_bar else ""
    lean = f"leans {low} to {high} deg/g at 0.4 g{fitted_words}"
    if not math.isfinite(ends[0]):
        lean = f"tips before 0.4 g{fitted_words}"
    elif not math.isfinite(ends[1]):
        lean = f"leans {low} deg/g or more at 0.4 g{fitted_words}, or tips before it"
    return (
        f'With the tolerances of the inputs "{state_words(case)}" {lean} (nine cases of ten; the '
        "mean of a left and a right bend, as a bar is sized to)."
    )


def _left_out(scenario: Scenario, *, with_bar: bool) -> dict[str, list[str]]:
    """Inputs whose tolerance is known and not drawn, in words, by the reason."""
    known = scenario.tolerances
    drawn = drawn_keys(known) | {one.key for one, _ in bar_shifting(known)}
    found: dict[str, list[str]] = {}
    for one in known:
        group = one.key.split(".")[0].split("[")[0]
        if one.key in drawn or group not in (*_MOVES, *(["rear_bar"] if with_bar else [])):
            continue
        why = AS_ORDERED if group == "rear_bar" else without_effect(one)
        found.setdefault(why, []).append(fields.whole_words(one.key))
    return found


@st.cache_data(max_entries=64, show_spinner="Carrying the tolerances to the lean …")
def _sure(
    text: str, _scenario: Scenario, *, case: str, bar: OrderedBar | None
) -> tuple[tuple[float, float], float | None]:
    """Ends of the band, and the chance of the target."""
    job, known = _scenario.job, _scenario.tolerances
    samples = lean_samples(job, known, case, bar=bar)
    ends, chance = band(samples), None
    if bar is not None and job.target.at == SECANT_AT:
        wanted = wanted_samples(job, known, case, at=SECANT_AT)
        chance = chance_of_target(samples, wanted, job.limits.gradient_tolerance)
    return (ends.low, ends.high), chance


@st.cache_data(max_entries=64, show_spinner=False)
def _lost(text: str, _scenario: Scenario, *, case: str, bar: OrderedBar) -> CabLoss | None:
    """Its share, with the band."""
    return cab_loss(_scenario.job, _scenario.tolerances, case, bar)


@st.cache_data(max_entries=64, show_spinner="Carrying the tolerances to the lean …")
def _carried(
    text: str, _scenario: Scenario, *, case: str, bar: OrderedBar | None
) -> tuple[tuple[str, float], ...]:
    """The share of each input."""
    job, known = _scenario.job, _scenario.tolerances
    return tuple((one.key, one.share) for one in influences(job, known, case, bar=bar))


def _table(shares: tuple[tuple[str, float], ...]) -> pd.DataFrame:
    """Input, its share of the spread, and how to measure it."""
    how = {one.key: one.measure for one in inputs()}
    return pd.DataFrame(
        {
            "input": fields.whole_words(key),
            "share of the spread": f"{share:.0%}",
            "how to measure it": how.get(_listed(key), ""),
        }
        for key, share in shares
        if share >= LEAST_SHARE
    )


def _listed(key: str) -> str:
    """A key as the list of inputs has it."""
    return f"load[]{key.partition(']')[2]}" if key.startswith("load[") else key
