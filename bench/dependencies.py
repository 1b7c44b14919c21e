"""What each package costs: its import beside a bare Python, and its place on disk.

Name other modules to weigh them against ours: run it with the Python of an
environment that has them.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from importlib import metadata
from pathlib import Path

from measure import milliseconds, processes, table, where

RUNS = 15
RUN_TIME = ["click", "numpy", "pydantic", "scipy", "scipy.optimize", "tomlkit"]
TESTS = ["hypothesis", "jsonschema", "mujoco", "pytest", "skfem", "uncertainties"]
TOOLS = ["hatchling", "import-linter", "mypy", "pre-commit", "ruff"]  # not imported


def main() -> int:
    """Print one line for each module, then for each tool."""
    modules = sys.argv[1:] or RUN_TIME + TESTS
    bare = "bare Python"
    commands = {m: [sys.executable, "-c", f"import {m}"] for m in modules}
    times = processes({bare: [sys.executable, "-c", "pass"], **commands}, runs=RUNS)
    owners = metadata.packages_distributions()

    rows = [["", "import ms", "middle half ms", "own MB", "with what it needs"]]
    for module in modules:
        start = times[bare].median
        low, high = (milliseconds(t - start) for t in times[module].quartiles)
        cost = [milliseconds(times[module].median - start), f"{low} to {high}"]
        owner = owners.get(module.partition(".")[0], [""])[0]
        rows.append([module, *cost, *(sizes(owner) if owner else ["", "with Python"])])
    for tool in [] if sys.argv[1:] else TOOLS:
        rows.append([tool, "", "", *sizes(tool)])

    print(where())
    print(table(rows))
    print(
        f"{RUNS} rounds, taking turns; an import is the whole process less the "
        f"{milliseconds(times[bare].median)} ms of a bare Python.\n"
        "MB are 10⁶ bytes of files, compiled bytecode included."
    )
    return 0


def sizes(name: str) -> list[str]:
    """Return a package's own size, and that of all it needs with their number."""
    needed = set(closure(name))
    total = sum(map(size, needed))
    return [f"{size(name):.1f}", f"{total:.1f} MB in {len(needed)}"]


def size(name: str) -> float:
    """Return the size of a package's files. [MB]"""
    paths = (Path(file.locate()) for file in metadata.files(name) or [])
    return sum(path.stat().st_size for path in paths if path.is_file()) / 1e6


def closure(name: str, seen: frozenset[str] = frozenset()) -> Iterator[str]:
    """Yield a package and all that it needs, as far as it is installed here."""
    name = re.sub(r"[-_.]+", "-", name).lower()
    if name in seen:
        return
    yield name
    for line in metadata.requires(name) or []:
        other = re.match(r"[\w.-]+", line)
        if other and "extra ==" not in line and installed(other[0]):
            yield from closure(other[0], seen | {name})


def installed(name: str) -> bool:
    """Say whether a package is there; one for another system is not."""
    try:
        metadata.distribution(name)
    except metadata.PackageNotFoundError:
        return False
    return True


if __name__ == "__main__":
    sys.exit(main())
