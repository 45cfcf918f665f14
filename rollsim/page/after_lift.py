"""What a lift asks for: what to check after it, and where local codes take over."""

from rollsim.cautions import height_note, is_lifted
from rollsim.mass import State
from rollsim.reader_units import ReaderUnits, figure
from rollsim.sentences import sentence
from rollsim.vehicle import Job


def lifted(job: Job, state: State) -> bool:
    """Whether springs, body or tyres stand higher, or lower, in a state than they were built."""
    return state.changed and is_lifted(job.change)


def code_words(job: Job, state: State, units: ReaderUnits) -> tuple[str, ...]:
    """Where a lift is beyond what codes commonly let pass without a certificate, a line an axle."""
    if not lifted(job, state):
        return ()

    def words(length: float) -> str:
        return f"{figure(length, units.length)} {units.length}"

    axles = {"front": job.vehicle.front, "rear": job.vehicle.rear}
    notes = (height_note(axle, job.change, end, words=words) for end, axle in axles.items())
    return tuple(sentence(note) for note in notes if note)
