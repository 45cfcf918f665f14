"""The picture of `rollsim range`: what of a list of bars fits how many."""

from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from rollsim.bar_range import Summary
from rollsim.plots.canvas import INK, key, line_style, sheet, short

MOST_BARS = 16
_ROW, _ROOM = 0.42, 2.4  # in


def range_picture(found: Summary) -> Figure:
    """Each bar, the most chosen on top: how often it is the choice, how often accepted."""
    shown = found.bars[:MOST_BARS]
    more = len(found.bars) - len(shown)
    title = f"What fits how many of {found.total} vehicles and load cases"
    picture = sheet(title, _ROOM + _ROW * max(len(shown), 1))
    axes = picture.subplots()
    places = range(len(shown))
    of = {
        "accepted": axes.barh(
            places, [one.accepted for one in shown], color="none", edgecolor=INK, hatch="///"
        ),
        "chosen": axes.barh(
            places, [one.chosen for one in shown], height=0.5, color=line_style(2)["color"]
        ),
    }
    axes.set_yticks(places, [short(one.bar) for one in shown])
    axes.invert_yaxis()
    axes.set_xlim(0.0, 1.05 * max([1, *(one.accepted for one in shown)]))
    axes.xaxis.set_major_locator(MaxNLocator(integer=True))
    axes.set(xlabel="vehicles and load cases" + (f"; {more} more bars" * (more > 0)))
    key(picture, list(of.values()), list(of))
    return picture
