"""The shop's record said in sentences."""

from rollsim.reader_units import figure
from rollsim.record.accuracy import FEWEST, Accuracy, Compared, NormalLean

NOT_IN_THE_BAND = "The band does not count this: it comes from what is known of the inputs."
TOO_FEW = (
    f"Fewer than {FEWEST} vehicles have a lean measured after the work that was predicted before, "
    "so nothing is said of how well this shop's predictions come true."
)
START_AGAIN = (
    "The lean measured after the last work is taken out. The bar of that work is not on it yet: "
    "where it was fitted, type it under Rear axle, Anti-roll bar that is on it ([rear.bar] in the "
    "file), other parts under Lift and changes ([change]), and weigh the vehicle again."
)
NO_NORMAL = f"No class has {FEWEST} vehicles yet, so no normal lean is told."


def _per_cent(share: float, *, signed: bool = False) -> str:
    text = f"{100.0 * share:.1f}".replace("-0.0", "0.0")
    return f"{'+' if signed and share > 0.0 and text != '0.0' else ''}{text} %"


def _beside(bias: float) -> str:
    words = _per_cent(abs(bias))
    if words == _per_cent(0.0):
        return "level with"
    return f"{words} {'above' if bias > 0.0 else 'below'}"


def count_words(jobs: int, sheets: int) -> str:
    """How many jobs on how many sheets."""
    of = f"{sheets} sheet{'s' * (sheets != 1)}"
    return f"{jobs} job{'s' * (jobs != 1)} on {of}"


def accuracy_words(found: Accuracy) -> str:
    """How the shop's jobs came out against their predictions, for beside a band."""
    low, high = (_per_cent(end, signed=True) for end in found.bias.interval)
    least, most = (_per_cent(end) for end in found.scatter_interval)
    jobs = "" if found.jobs == found.count else f", {found.jobs} jobs"
    error = _per_cent(found.scatter_error)
    return (
        f"On this shop's {found.count} measured vehicles{jobs}, the lean came out "
        f"{_beside(found.bias.value)} the prediction on average (standard error "
        f"{_per_cent(found.bias.standard_error)}; 95 %: {low} to {high}), single vehicles scatter "
        f"by {_per_cent(found.scatter)} about that (standard error {error}; "
        f"95 %: {least} to {most}). {NOT_IN_THE_BAND}"
    )


def left_out_words(found: Compared) -> tuple[str, ...]:
    """What of the record does not count, and why, a line each reason."""
    bare = found.without_plate
    files: dict[str, list[str]] = {}
    for file, why in found.left_out:
        files.setdefault(why, []).append(file)
    return (
        *(f"{why}: {', '.join(names)}" for why, names in files.items()),
        *([f"no registration: {bare} {'sheet' if bare == 1 else 'sheets'}"] if bare else []),
    )


def normal_words(one: NormalLean) -> str:
    """What is normal for a class, empty, at 0.3 g."""
    mean, spread = (figure(angle, "deg", 1) for angle in (one.mean, one.deviation))
    return (
        f"{one.vehicle_class}: {mean}° empty at 0.3 g, {one.count} vehicles, which scatter by "
        f"{spread}°"
    )
