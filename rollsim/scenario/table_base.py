"""What every table of a scenario file has in common."""

from typing import Any

from pydantic import BaseModel, ConfigDict, ValidationError, field_validator

from rollsim.scenario.keys import UNUSABLE


class Table(BaseModel):
    """A table of the file: unknown keys are errors, refused values pass as unusable."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    @field_validator("*", mode="wrap")
    @classmethod
    def _pass_unusable(cls, found: Any, handler: Any) -> Any:
        try:
            return handler(found)
        except ValidationError:
            if found is UNUSABLE:
                return None
            raise


def missing(table: type[Table], name: str, instead: str = "") -> str:
    """Error text for a key that this file needs, though others may stand in its place.

    What is allowed and what to do; `instead` is what else would do.
    """
    how = next(m for m in table.model_fields[name].metadata if hasattr(m, "measure"))
    end = f", or {instead}" if instead else ""
    return f"missing; allowed {how.allowed()}; add it ({how.measure}){end}"
