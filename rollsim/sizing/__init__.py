"""Which rear bar brings the roll back: required stiffness, candidates, and the choice."""

from rollsim.sizing.acceptance import Obstacle
from rollsim.sizing.choice import Sizing, size
from rollsim.sizing.new_front import NewFront
from rollsim.sizing.pair import NoPair, Pair
from rollsim.sizing.records import Candidate, ComesOff, Objection, ObjectionKind, StressCase

__all__ = [
    "Candidate",
    "ComesOff",
    "NewFront",
    "NoPair",
    "Objection",
    "ObjectionKind",
    "Obstacle",
    "Pair",
    "Sizing",
    "StressCase",
    "size",
]
