"""The shop: what its job sheets say together, and its shelf against all of their vehicles."""

from collections.abc import Sequence

import pandas as pd
import streamlit as st

from rollsim.bar_range import HEADS, Change, Run, answer, fits, parts_of, summary_words
from rollsim.charts import fits_chart
from rollsim.page import downloads, frame, record_here, shelf
from rollsim.page.frame import bullets, plain, show_table
from rollsim.page.record_here import Sheet
from rollsim.page.shown_chart import Chart, show_chart
from rollsim.reader_units import NO_FIGURE
from rollsim.record import (
    JobRecord,
    Record,
    compared,
    normal_leans,
    one_a_job,
    started_again,
)
from rollsim.record.words import (
    NO_NORMAL,
    START_AGAIN,
    TOO_FEW,
    count_words,
    left_out_words,
    normal_words,
)
from rollsim.scenario.shelf import self_contained
from rollsim.tell.of_jobs import JOB, LISTED

MOST_VEHICLES = 40  # that the page holds against a shelf: seconds, not minutes
MOST_ROWS, TALLEST = 12, 560  # jobs; more scroll in so many pixels
_ROWS = "shop:rows"
TO_DO = (
    "Type the registration on the page Vehicle, under For the record.",
    "Fit a bar: save the job sheet when the bar is ordered, and keep that first sheet.",
    "After the test drive or lean test type the lean that it read, on the same page.",
    "Save the sheet again, into the same folder.",
    "Open all of them here, this year's and last year's.",
)
TELLS = (
    "Every job: lean before, predicted and measured after, the bar, and what was left open.",
    "From five measured vehicles on: how far predictions were off, on average and one by one; it "
    "then stands under every band on Fit a bar and on its job sheets.",
    "What is normal for a class, from five vehicles on.",
    "A vehicle that comes back starts from its last sheet.",
    "Which bar of the shop's shelf fits how many of them.",
)
_MORE = "For thousands of sheets and whole folders: rollsim jobs and rollsim range."


def show() -> None:
    """Lay out the page."""
    st.title("The shop")
    st.caption(
        "Open the job sheets you have saved: they are the record. They stay in this session and go "
        f"nowhere else. {_MORE}"
    )
    files = st.file_uploader(
        "Job sheets (HTML), several at once",
        type=["html", "htm"],
        accept_multiple_files=True,
        max_upload_size=10,
        key="shop:files",
    )
    record_here.add(files or [])
    found = record_here.record()
    if found.jobs:
        left, right = st.columns(2, gap="large")
        with left:
            _show_again()
        with right:
            _show_said(found)
        _show_jobs(found)
        if not files:
            st.button("Close these sheets", key="shop:close", on_click=record_here.close)
    elif not found.skipped:
        _show_how()
    if found.skipped:
        st.warning(bullets(f"{one.file} was skipped: {one.why}" for one in found.skipped))
    _show_range()


def _show_how() -> None:
    """What to do, and what comes of it, where no sheet is open."""
    left, right = st.columns(2, gap="large")
    with left:
        st.header("How the record grows")
        st.markdown(bullets(TO_DO))
    with right:
        st.header("What it tells")
        st.markdown(bullets(TELLS))


def _show_jobs(found: Record) -> None:
    jobs = one_a_job(found.jobs)
    st.header("The jobs")
    st.caption(f"{count_words(len(jobs), len(found.jobs))}; leans at 0.3 g, loaded.")
    table = pd.DataFrame([_row(job) for job in reversed(jobs)])
    with st.container(height=TALLEST if len(jobs) > MOST_ROWS else "content", border=False):
        show_table(table, hide_index=True, alt="The jobs, the newest first; leans at 0.3 g, loaded")
    downloads.table_button(table, "jobs")
    left_open = [f"{job.file}: {'; '.join(job.open_items)}" for job in jobs if job.open_items]
    if left_open:
        with st.expander(f"Left open: {len(left_open)} job{'s' * (len(left_open) != 1)}"):
            st.markdown(frame.said_bullets(left_open))


def _row(job: JobRecord) -> dict[str, str]:
    units = frame.units()
    return {
        "date": job.date or NO_FIGURE,
        "plate": job.registration or NO_FIGURE,
        "vehicle": job.vehicle,
        "case": job.case or NO_FIGURE,
        **{JOB[name].label(units): JOB[name].cell(job, units) for name in LISTED},
        "bar": frame.said(job.bar) or NO_FIGURE,
    }


def _show_said(found: Record) -> None:
    st.header("How predictions came true")
    st.markdown(plain(record_here.said() or TOO_FEW))
    if left_out := left_out_words(compared(found.jobs)):
        with st.expander("Not counted, and why"):
            st.markdown(bullets(left_out))
    st.header("Normal in this shop")
    normal = [normal_words(one) for one in normal_leans(found.jobs)]
    st.markdown(bullets(normal) if normal else NO_NORMAL)


def _show_again() -> None:
    """A vehicle that comes back starts from its last sheet."""
    st.header("A vehicle comes back")
    last = {one.job.plate: one for one in record_here.sheets() if one.job.plate}
    if not last:
        st.markdown("No sheet has a registration; type it on the page Vehicle, For the record.")
        return
    plate = st.selectbox(
        "Registration", list(last), format_func=lambda one: plain(last[one].job.registration)
    )
    job, source = last[plate].job, last[plate].source
    st.caption(plain(f"Last sheet: {job.file}, {job.date}, {frame.said(job.bar) or 'no bar'}."))
    if st.button("Start from its last sheet", key="shop:again", type="primary"):
        try:
            text = started_again(source.text)
        except ValueError as error:
            st.error(plain(f"{job.file}: {error}"))
            return
        frame.put(self_contained(text, dict(source.tables)), source.name)
        st.rerun()
    st.caption(plain(START_AGAIN))


def _show_range() -> None:
    """The shelf of this session against every vehicle as its last sheet has it."""
    st.header("One list of bars for all of them")
    csv = shelf.opened()
    sheets = list({one.job.plate or one.job.file: one for one in record_here.sheets()}.values())
    if not csv or not sheets:
        st.markdown(
            "Open job sheets here and the shop's shelf on Fit a bar, under Target, load case, bar; "
            "this page then tells which bar fits how many."
        )
        return
    if len(sheets) > MOST_VEHICLES:
        st.info(f"{len(sheets)} vehicles: the page takes up to {MOST_VEHICLES}. {_MORE}")
        return
    asked = hash((csv, *(one.source for one in sheets)))
    if st.button("Hold them against the shelf", key="shop:range"):
        st.session_state[_ROWS] = asked, _answered(sheets, csv)
    of, rows = st.session_state.get(_ROWS, (None, ()))
    if of != asked:
        st.session_state.pop(_ROWS, None)  # of another shelf or other sheets
        return
    counted = fits(rows, parts_of(csv))
    head, *lines = summary_words(counted)
    st.markdown(f"**{plain(head)}**")
    is_drawn = any(one.accepted for one in counted.bars)
    if is_drawn:
        show_chart(Chart(fits_chart, counted), alt="What fits how many")
    st.markdown(bullets(lines))
    with st.container(horizontal=True):
        downloads.table_button(pd.DataFrame(rows, columns=list(HEADS)).fillna(""), "range")
        if is_drawn:
            downloads.chart_buttons(Chart(fits_chart, counted), "what fits how many")


def _answered(sheets: Sequence[Sheet], csv: str) -> list[dict[str, str]]:
    rows, told = [], st.progress(0.0)
    for number, one in enumerate(sheets, 1):
        run = Run(one.job.file, one.source.text, one.source.tables, Change(""), csv)
        rows += answer(run)
        told.progress(number / len(sheets), plain(f"{number} of {len(sheets)}: {one.job.file}"))
    told.empty()
    return rows


if __name__ == "__main__":
    show()
