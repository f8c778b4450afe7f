"""What stands wherever a joint's figures stand."""

CAUTIONS = (
    "These figures are estimates from the shape and from tables, and not a test to any standard.",
    "Climbing holds are tested to EN 12572-3; buy that standard and have holds tested to it.",
    "Inspect a hold before use, tighten its bolt again after a day and at each inspection, and retire the "
    "hold when in doubt.",
    "The wall's owner, local codes and licensed practice have the last word.",
)
