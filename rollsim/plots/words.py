"""What are wheels and parts of the weight transfer called, in tables and on curves?"""

LEFT_BEND_WHEELS = (
    "front left, inner",
    "front right, outer",
    "rear left, inner",
    "rear right, outer",
)
TRANSFER_PARTS = {
    "elastic": "springs and bars (elastic)",
    "geometric": "roll centre (geometric)",
    "unsprung": "axle's own mass (unsprung)",
}
"""By the names of `rollsim.roll.TransferParts`."""
