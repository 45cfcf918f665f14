"""The lowest versions that pyproject.toml declares, as requirements: `python tests/floors.py`.

`python tests/floors.py --check` tells those that are not what is installed.
"""

import re
import sys
import tomllib
from importlib.metadata import version
from pathlib import Path

FLOOR = re.compile(r"([A-Za-z0-9-]+)>=([0-9.]+)(?:,<[0-9.]+)?")


def floors() -> dict[str, str]:
    """Lowest version of each library that the program and its tests need."""
    text = (Path(__file__).parents[1] / "pyproject.toml").read_text(encoding="utf-8")
    project = tomllib.loads(text)["project"]
    lines = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    return dict(FLOOR.fullmatch(line).groups() for line in lines)


def _same(one: str, other: str) -> bool:
    return re.sub(r"(\.0)+$", "", one) == re.sub(r"(\.0)+$", "", other)


if __name__ == "__main__":
    wanted = floors()
    if sys.argv[1:] == ["--check"]:
        found = {name: version(name) for name in wanted}
        sys.exit(" ".join(n for n in wanted if not _same(found[n], wanted[n])) or 0)
    print("\n".join(f"{name}=={floor}" for name, floor in wanted.items()))
