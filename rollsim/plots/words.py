"""What are wheels called, in tables and on curves?"""

LEFT_BEND_WHEELS = (
    "front left, inner",
    "front right, outer",
    "rear left, inner",
    "rear right, outer",
)
