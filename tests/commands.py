"""Run the command line as a person does, in this process or in one of its own."""

import io
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

from splinewise.cli import main

PROGRAM = [sys.executable, "-m", "splinewise"]


@dataclass(frozen=True)
class Done:
    """What a command left behind.

    Attributes
    ----------
    code : int
        Exit code.
    out, err : str
        What it printed, and what it complained of.
    """

    code: int
    out: str
    err: str


class Terminal(io.TextIOWrapper):
    """A stream of bytes in some encoding, as a terminal has it."""

    def __init__(self, encoding):
        super().__init__(io.BytesIO(), encoding=encoding, newline="\n")

    def said(self):
        """Return what was written."""
        self.flush()
        return self.buffer.getvalue().decode(self.encoding)


def run(*words, typed="", encoding="utf-8"):
    """Run a command in this process, its streams and its arguments replaced."""
    out, err = Terminal(encoding), Terminal(encoding)
    with (
        mock.patch.object(sys, "argv", ["splinewise", *map(str, words)]),
        mock.patch.object(sys, "stdout", out),
        mock.patch.object(sys, "stderr", err),
        mock.patch.object(sys, "stdin", io.StringIO(typed)),
    ):
        try:
            main()
        except SystemExit as ended:
            code = ended.code
    return Done(code, out.said(), err.said())


def start(*words, text=True, **more):
    """Run a command in a process of its own."""
    env = {**os.environ, **more.pop("env", {})}
    env.pop("SPLINEWISE_TRACEBACK", None)
    return subprocess.run(
        [*PROGRAM, *map(str, words)],
        capture_output=True,
        text=text,
        encoding="utf-8" if text else None,
        check=False,
        env=env,
        **more,
    )


def at(place):
    """Return a context in which `place` is the current directory."""
    return _At(place)


class _At:
    def __init__(self, place):
        self.place, self.before = place, None

    def __enter__(self):
        self.before = Path.cwd()
        os.chdir(self.place)

    def __exit__(self, *_):
        os.chdir(self.before)
