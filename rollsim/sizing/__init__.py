"""Which rear bar brings the roll back: required stiffness, candidates, and the choice."""

from rollsim.sizing.advice import Help, HelpKind
from rollsim.sizing.candidates import Candidate, Objection, ObjectionKind
from rollsim.sizing.choice import Gate, Sizing, size

__all__ = ["Candidate", "Gate", "Help", "HelpKind", "Objection", "ObjectionKind", "Sizing", "size"]
