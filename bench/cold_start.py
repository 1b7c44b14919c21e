"""How long a command takes from a cold start, beside the imports it cannot avoid."""

from __future__ import annotations

import sys
from pathlib import Path

from measure import ROOT, NotMeasuredError, compare, processes, report, where

RUNS = 25
DEMO = sorted((ROOT / "src/splinewise/car/demos").glob("*.toml"))[:1]

# The command, the imports it cannot avoid, and how many times theirs it may take.
CASES = [
    (["teeth", "24", "25", "7.3deg"], "import click", 2.5),
    (["plan", *map(str, DEMO)], "import numpy, pydantic, click", 2.0),
]


def main() -> int:
    """Time the cases; return 0 where all are within their bars, 2 where not run."""
    program = str(Path(sys.executable).with_name("splinewise"))
    print(where("splinewise", "click", "numpy", "pydantic"))
    found, missing = [], []
    for words, imports, bar in CASES:
        subject = " ".join(["splinewise", *(Path(word).name for word in words)])
        peer = f'python -c "{imports}"'
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
        print(f"Not measured: {sentence}")
    return 2 if missing else code


if __name__ == "__main__":
    sys.exit(main())
