"""Time things side by side: medians, spread, ratio to a peer, and where it ran.

A time by itself says more about the machine than about the program, so every script
here sets its subject beside a peer that does the least such a thing can do, takes
turns between the two within one run, and holds the ratio against a bar.
"""

from __future__ import annotations

import compileall
import os
import platform
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

__all__ = [
    "ROOT",
    "Comparison",
    "NotMeasuredError",
    "Times",
    "alternate",
    "compare",
    "milliseconds",
    "processes",
    "report",
    "table",
    "where",
]

ROOT = Path(__file__).resolve().parent.parent


class NotMeasuredError(Exception):
    """Something could not be run, so that its time would mean nothing."""


@dataclass(frozen=True, slots=True)
class Times:
    """What one subject took, run by run.

    Attributes
    ----------
    seconds : tuple of float
        In the order of the rounds. [s]
    """

    seconds: tuple[float, ...]

    @property
    def median(self) -> float:
        """Middle of the runs. [s]"""
        return statistics.median(self.seconds)

    @property
    def quartiles(self) -> tuple[float, float]:
        """Bounds of the middle half of the runs. [s]"""
        low, _, high = statistics.quantiles(self.seconds, n=4, method="inclusive")
        return low, high


@dataclass(frozen=True, slots=True)
class Comparison:
    """A subject beside its peer, and the ratio that it may not exceed.

    Attributes
    ----------
    subject, peer : str
        What was timed, in words.
    of_subject, of_peer : Times
        Of the same rounds.
    bar : float
        Largest ratio that will do. [1]
    """

    subject: str
    peer: str
    of_subject: Times
    of_peer: Times
    bar: float

    @property
    def ratio(self) -> float:
        """Median over median. [1]"""
        return self.of_subject.median / self.of_peer.median

    @property
    def ratio_quartiles(self) -> tuple[float, float]:
        """Bounds of the middle half of the ratios taken round by round. [1]"""
        pairs = zip(self.of_subject.seconds, self.of_peer.seconds, strict=True)
        return Times(tuple(a / b for a, b in pairs)).quartiles

    @property
    def holds(self) -> bool:
        """Whether the ratio is within the bar."""
        return self.ratio <= self.bar


def alternate(
    subjects: Mapping[str, Callable[[], object]], *, runs: int, warm_ups: int = 2
) -> dict[str, Times]:
    """Call each subject `runs` times, in turn, and time each call.

    Every round begins with another subject, so that none always follows the same
    one, and what else the machine does falls on all alike.
    """
    names = list(subjects)
    seconds: dict[str, list[float]] = {name: [] for name in names}
    for turn in range(-warm_ups, runs):
        first = turn % len(names)
        for name in names[first:] + names[:first]:
            start = time.perf_counter()
            subjects[name]()
            took = time.perf_counter() - start
            if turn >= 0:
                seconds[name].append(took)
    return {name: Times(tuple(values)) for name, values in seconds.items()}


def processes(
    commands: Mapping[str, Sequence[str]], *, runs: int, good: Sequence[int] = (0,)
) -> dict[str, Times]:
    """Time whole processes in turn, from their start to their end.

    Bytecode is compiled first: without it, a start is timed that a user meets once.

    Raises
    ------
    NotMeasuredError
        If a command cannot be started, prints a traceback, or ends with an exit
        code that is not among `good`.
    """
    compileall.compile_dir(ROOT / "src", quiet=2)
    for name, command in commands.items():
        _try(name, command, good)
    quiet = subprocess.DEVNULL

    def runner(command: Sequence[str]) -> Callable[[], object]:
        return lambda: subprocess.run(command, stdout=quiet, stderr=quiet, check=False)

    return alternate({n: runner(c) for n, c in commands.items()}, runs=runs)


def _try(name: str, command: Sequence[str], good: Sequence[int]) -> None:
    """Run a command once, to see that it does what is to be timed."""
    try:
        done = subprocess.run(command, capture_output=True, text=True, check=False)
    except OSError as error:
        msg = f"{name}: cannot be started ({error.strerror})"
        raise NotMeasuredError(msg) from None
    if done.returncode not in good or "Traceback" in done.stderr:
        last = (done.stderr.strip().splitlines() or ["it said nothing"])[-1]
        msg = f"{name}: ended with exit code {done.returncode} ({last})"
        raise NotMeasuredError(msg)


def compare(
    subject: str, peer: str, times: Mapping[str, Times], *, bar: float
) -> Comparison:
    """Set two of the subjects that were timed together beside each other."""
    return Comparison(subject, peer, times[subject], times[peer], bar)


def where(*packages: str) -> str:
    """Return the machine, the Python and the versions of packages, in a few lines."""
    versions = ", ".join(f"{name} {metadata.version(name)}" for name in packages)
    python = f"{platform.python_implementation()} {platform.python_version()}"
    return (
        f"{platform.system()} {platform.machine()}, {_processor()}, "
        f"{os.cpu_count()} cores\n{python}" + (f", {versions}" if versions else "")
    )


def _processor() -> str:
    """Return the processor's name, as far as the system tells it."""
    try:
        text = Path("/proc/cpuinfo").read_text(encoding="utf-8")
    except OSError:
        return platform.processor() or "processor unknown"
    names = [li.split(":", 1)[1] for li in text.splitlines() if "model name" in li]
    return names[0].strip() if names else "processor unknown"


def table(rows: Sequence[Sequence[str]]) -> str:
    """Lay rows out in columns, the first to the left and the others to the right."""
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return "\n".join(
        "  ".join(
            cell.rjust(width) if n else cell.ljust(width)
            for n, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    )


def report(comparisons: Sequence[Comparison], *, runs: int) -> int:
    """Print what was found; return 0 where every bar holds, else 1."""
    rows = [["", "median ms", "middle half ms", "ratio", "middle half", "bar"]]
    for c in comparisons:
        low, high = c.ratio_quartiles
        ratio = [f"{c.ratio:.2f}", f"{low:.2f} to {high:.2f}", f"{c.bar:g}"]
        rows.append([c.subject, *_spread(c.of_subject), *ratio])
        rows.append([f"  beside {c.peer}", *_spread(c.of_peer), "", "", ""])
    print(table(rows))
    print(f"{runs} rounds, taking turns; a ratio is median over median.")
    for c in comparisons:
        verdict = "within the bar" if c.holds else "OVER THE BAR"
        print(f"{c.subject}: {c.ratio:.2f} times {c.peer}, {verdict} of {c.bar:g}.")
    return 0 if all(c.holds for c in comparisons) else 1


def _spread(times: Times) -> list[str]:
    low, high = times.quartiles
    return [milliseconds(times.median), f"{milliseconds(low)} to {milliseconds(high)}"]


def milliseconds(seconds: float) -> str:
    """Write a time in milliseconds, with the digits that mean something."""
    value = 1e3 * seconds
    return f"{value:.1f}" if abs(value) >= 1.0 else f"{value:.3f}"


if __name__ == "__main__":
    sys.exit("measure.py is for the other scripts here; run one of them.")
