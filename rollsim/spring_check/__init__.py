"""Are the springs right for the weight: load, height, travel, frequency and a verdict, per axle?

`check` looks at the settled vehicle, `ride` at frequency and at what a spring of a kind tells,
`records` holds the answer and the limits.
"""

from rollsim.spring_check.check import AXLES, spring_checks, verdict_of
from rollsim.spring_check.records import (
    TOO_MUCH,
    AxleCheck,
    Finding,
    SecondStage,
    SpringCheck,
    Verdict,
)
from rollsim.spring_check.ride import (
    Stage,
    ride_frequency,
    ride_rate,
    second_stage,
    spring_stress,
)
from rollsim.vehicle import SpringLimits

__all__ = [
    "AXLES",
    "TOO_MUCH",
    "AxleCheck",
    "Finding",
    "SecondStage",
    "SpringCheck",
    "SpringLimits",
    "Stage",
    "Verdict",
    "ride_frequency",
    "ride_rate",
    "second_stage",
    "spring_checks",
    "spring_stress",
    "verdict_of",
]
