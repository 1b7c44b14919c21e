"""How long a command takes from a cold start, beside the imports it cannot avoid."""

from __future__ import annotations

import sys
from pathlib import Path

from measure import ROOT, NotMeasuredError, compare, processes, report, where

RUNS = 25
DEMOS = sorted(file.stem for file in ROOT.glob("src/splinewise/car/demos/*.toml"))

# The command, the imports it cannot avoid, and how many times theirs it may take.
CASES = [
    (["teeth", "24", "25", "--turn", "7.3 deg"], "import click", 2.5),
    *(
        (["plan", f"demo:{name}"], "import numpy, pydantic, click", 2.0)
        for name in DEMOS
    ),
]


def main() -> int:
    """Time the cases; return 1 where a bar is missed, 2 where one was not measured."""
    program = str(Path(sys.executable).with_name("splinewise"))
    print(where("splinewise", "click", "numpy", "pydantic"))
    found, missing = [], []
    if not DEMOS:
        missing.append("there is no demo car to plan")
    for words, imports, bar in CASES:
        subject, peer = " ".join(["splinewise", *words]), f'python -c "{imports}"'
        commands = {
            subject: [program, *words],
            peer: [sys.executable, "-c", imports],
        }
        try:
            # A job whose answer is "no" ends with 1, and has done its work.
            times = processes(commands, runs=RUNS, good=(0, 1))
        except NotMeasuredError as error:
            missing.append(str(error))
        else:
            found.append(compare(subject, peer, times, bar=bar))
    code = report(found, runs=RUNS) if found else 0
    for sentence in missing:
        print(f"Not measured: {sentence}.")
    return 2 if missing else code


if __name__ == "__main__":
    sys.exit(main())
