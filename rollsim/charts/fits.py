"""What of a list of bars fits how many, as a chart that is hovered."""

import altair as alt
import pandas as pd

from rollsim.bar_range import Summary
from rollsim.charts.look import styled

MOST_BARS = 16


def fits_chart(found: Summary, *, dark: bool = False) -> alt.LayerChart:
    """Each bar, the most chosen on top: a wide pale bar for accepted, a narrow one for chosen."""
    table = pd.DataFrame(
        [(one.bar, one.accepted, one.chosen) for one in found.bars[:MOST_BARS]],
        columns=["bar", "accepted", "chosen"],
    )
    base = alt.Chart(table).encode(
        y=alt.Y("bar:N", sort=None, title=None), tooltip=["bar", "accepted", "chosen"]
    )
    count = "vehicles and load cases: wide, accepted; narrow, chosen"
    wide = base.mark_bar(height={"band": 0.8}, opacity=0.5).encode(
        x=alt.X("accepted:Q", title=count, axis=alt.Axis(tickMinStep=1))
    )
    narrow = base.mark_bar(height={"band": 0.4}).encode(x="chosen:Q")
    return styled(alt.layer(wide, narrow), dark=dark)
