"""Whole tables put into a scenario in place of those of the same name."""

import tomlkit
from tomlkit.exceptions import TOMLKitError

from rollsim.scenario.bounds import parsed


def pasted(text: str, tables: str) -> str:
    """Put tables in place of those of the same name, or at the end where there are none.

    Whole tables: what they leave out goes, and so do comments of the tables replaced. Raises
    ValueError where one of the two texts is not TOML.

    Examples
    --------
    >>> print(pasted('[change]\\ntyre_radius = "15 mm"\\n', '[target]\\nat = "linear"\\n').strip())
    [change]
    tyre_radius = "15 mm"
    <BLANKLINE>
    [target]
    at = "linear"
    """
    wanted = {**parsed(text), **parsed(tables)}
    try:
        document, new = tomlkit.parse(text), tomlkit.parse(tables)
    except TOMLKitError as error:
        raise ValueError(f"not readable as TOML ({error})") from None
    for name, table in new.items():
        if name in document:
            document[name] = table
        else:
            if document.as_string().strip():
                document.add(tomlkit.nl())
            document.add(name, table)
    written = tomlkit.dumps(document)
    if parsed(written) != wanted:
        raise ValueError("the file is laid out so that other values would change; paste by hand")
    return written
