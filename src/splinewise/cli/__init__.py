"""Words on a terminal: parse, call a task, print.

Commands are found by name and imported only when one is run, so that a small one
does not pay for what it does not use.
"""

from __future__ import annotations

import importlib
import os
import sys
from typing import Any

import click

from splinewise.cli.terminal import complain, make_ready
from splinewise.errors import SplinewiseError

__all__ = ["cli", "main"]

# Name → (module, one line of help); the help stands here so that listing the
# commands imports none of them.
_COMMANDS = {
    "demo": ("demo", "Walk through an invented car, from its file to the teeth."),
    "new": ("new", "Start a car file by answering a few questions."),
    "tape": ("tape", "Where are the points that you taped?"),
    "check": ("check", "Do the published dimensions and the readings agree?"),
    "readings": ("readings", "What do all readings say together, and which is wrong?"),
    "next": ("next", "Which reading is worth taking next?"),
    "history": ("history", "What was done to this car before you had it?"),
    "plan": ("plan", "What must the slack angle be, and what does it give?"),
    "gauge": ("gauge", "What do you drill, and is what you drilled good enough?"),
    "budget": ("budget", "What makes the gauge doubtful, and is it good enough?"),
    "teeth": ("teeth", "How many teeth, at which end, which way?"),
    "stand": ("stand", "How does the whole car stand on its wheels?"),
    "bar": ("bar", "What would another bar be: its diameter, stress and setting?"),
    "travel": ("travel", "What do the wheel and the bar do over the travel?"),
    "prove": ("prove", "Is it right now?"),
    "book": ("book", "What was found and done, kept for the next owner too."),
    "explain": ("explain", "What does a word mean here?"),
    "schema": ("schema", "What is in the JSON, and what may a car file say?"),
}


_INVALID = "Invalid value for "


class _ReaderGoneError(Exception):
    """Whoever read what is printed has gone."""


class _Commands(click.Group):
    """A group that imports a command when it is asked for."""

    def make_context(
        self,
        info_name: str | None,
        args: list[str],
        parent: click.Context | None = None,
        **extra: Any,
    ) -> click.Context:
        # Here and below: click would end with 1, which here means that the answer
        # is no.
        try:
            return super().make_context(info_name, args, parent, **extra)
        except BrokenPipeError:
            raise _ReaderGoneError from None

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except BrokenPipeError:
            raise _ReaderGoneError from None

    def list_commands(self, ctx: click.Context) -> list[str]:
        del ctx
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        del ctx
        if cmd_name not in _COMMANDS:
            return None
        module = importlib.import_module(f"splinewise.cli.{_COMMANDS[cmd_name][0]}")
        command: click.Command = module.command
        return command

    def format_commands(
        self, ctx: click.Context, formatter: click.HelpFormatter
    ) -> None:
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in _COMMANDS.items()])

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in _COMMANDS and not args[0].startswith("-"):
            import difflib

            near = difflib.get_close_matches(args[0], _COMMANDS, n=1)
            hint = (
                f"Did you mean {near[0]!r}?"
                if near
                else f"There are: {', '.join(_COMMANDS)}."
            )
            msg = f"There is no command {args[0]!r}. {hint}"
            raise click.UsageError(msg, ctx)
        return super().resolve_command(ctx, args)


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="splinewise", prog_name="splinewise")
def cli() -> None:
    """Set up a vehicle that rides on splined torsion bars.

    Describe the car in a file, then ask: do its dimensions agree, what must the
    slack angle be, what gauge do you drill, which teeth do you move.

    A twisted bar stores enough energy to break bones. The maker's manual, local
    rules and licensed practice have the last word.
    """


def main() -> None:
    """Run the command line: exit code 0, 1 (the answer is no) or 2 (bad input)."""
    make_ready()
    try:
        code = cli.main(prog_name="splinewise", standalone_mode=False)
    except SplinewiseError as error:
        _fail(str(error))
    except click.exceptions.Abort:
        _fail("Stopped.")
    except click.exceptions.NoArgsIsHelpError as error:
        error.show()
        sys.exit(2)
    except click.ClickException as error:
        _fail(_told(error))
    except _ReaderGoneError:
        _end_quietly(0)
    except OSError as error:
        complain(f"The answer cannot be written: {error.strerror or error}.")
        _end_quietly(2)
    except Exception as error:
        if os.environ.get("SPLINEWISE_TRACEBACK"):
            raise
        _fail(
            f"Splinewise itself went wrong ({type(error).__name__}: {error}). Set "
            "SPLINEWISE_TRACEBACK=1 and run it again to see where, and please report "
            "it."
        )
    sys.exit(code if isinstance(code, int) else 0)


def _told(error: click.ClickException) -> str:
    """Return what was wrong with the words typed, and where to read of them."""
    message = error.format_message()
    if message.startswith(_INVALID):
        message = message.removeprefix(_INVALID).replace("'", "", 2)
    ctx = getattr(error, "ctx", None)
    return f"{message}\nSee: {ctx.command_path} --help" if ctx else message


def _fail(message: str) -> None:
    complain(message)
    sys.exit(2)


def _end_quietly(code: int) -> None:
    """End without Python's own complaint that it could not write the rest."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (sys.stdout, sys.stderr):
        if stream is not None:
            os.dup2(nowhere, stream.fileno())
    sys.exit(code)
