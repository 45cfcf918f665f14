"""What has to be said beside the figures, in plain words, once for command, page and sheet."""

STEADY_BEND = (
    "Figures are for a steady, level, untripped bend: a kerb, a soft edge, a swerve, a gust or a "
    "shifting load tips the vehicle sooner."
)
LAW = (
    "Local codes and a licensed engineer decide what may be fitted and driven; these figures do "
    "not."
)

UP_HIGH = (
    "Mass up high raises the risk of rollover; no figure here is a safe speed or a safe slope."
)

ROLL_CAUTIONS: tuple[str, ...] = (
    UP_HIGH,
    STEADY_BEND,
    "Stiffer springs, a bar or a lift raise no rating: axle, gross and roof limits stay as they "
    "are.",
    "Left out: twist of a ladder frame, roll steer, dampers and everything that happens on the "
    "way into the bend, camber, jacking by unequal lateral tyre forces.",
    LAW,
)

BAR_CAUTIONS: tuple[str, ...] = (
    UP_HIGH,
    "The bar reduces lean; it is no means to raise the rollover limit, which it often does not "
    "move at all and in some states lowers.",
    "The bar raises no rating: axle, gross and roof limits stay as they are.",
    "Empty and in the wet the rear lets go earlier (oversteer): start in the softest hole that "
    "serves.",
    STEADY_BEND,
    "Whether the stability control copes with the stiffer rear is unknown: its calibration was "
    "made without this bar.",
    "Off road the bar takes flex (articulation) from the axle and ties the wheels of it together.",
    "A ladder frame twists: of a stiff rear bar 15 to 30 % may not be felt in the cab.",
    "Strength holds for this steel, its heat treatment and unwelded ends: welds, holes in the "
    "arms and ovality at the bends are outside it.",
    "Shear of the bar is left out: a real bar is about 0.1 % (solid) to 0.4 % (tube) softer.",
    "Change of understeer is from load transfer only.",
    LAW,
)

AFTER_LIFT: tuple[str, ...] = (
    "Brake hoses: long enough at full droop, wheels on full lock.",
    "Load-sensing brake valve: its rod set to the new height.",
    "Driveline angles: universal joints and drive shafts, at full droop too.",
    "Headlamps: aim them again.",
    "Stability control: nobody calibrated it for this height; ask who may.",
    "Wheel alignment: caster and camber moved with the height.",
)
"""What to check after a lift."""
