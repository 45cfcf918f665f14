"""The job sheet: what is handed over, on two printed pages.

`work` computes it all once, `marked` reads the inputs as they were typed, `facts`, `order`,
`pictures` and `words` say it, `printed` puts it on paper, `to_send` makes a
picture for the owner of it.
"""

from rollsim.sheet.printed import Paper, job_sheet
from rollsim.sheet.to_send import picture_to_send
from rollsim.sheet.work import work_out

__all__ = ["Paper", "job_sheet", "picture_to_send", "work_out"]
