"""Which rear bar brings the roll back: required stiffness, candidates, and the choice."""

from rollsim.sizing.candidates import Candidate
from rollsim.sizing.choice import Sizing, size

__all__ = ["Candidate", "Sizing", "size"]
