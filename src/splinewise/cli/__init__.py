"""Words on a terminal: parse, call a task, print.

Commands are found by name and imported only when one is run, so that a small one
does not pay for what it does not use.
"""

from __future__ import annotations

import importlib
import io
import os
import sys

import click

from splinewise.errors import SplinewiseError

__all__ = ["cli", "main"]

# Name → (module, one line of help); the help stands here so that listing the
# commands imports none of them.
_COMMANDS = {
    "demo": ("demo", "Walk through an invented car, from its file to the teeth."),
    "new": ("new", "Start a car file by answering a few questions."),
    "check": ("check", "Do the published dimensions and the readings agree?"),
    "plan": ("plan", "What must the slack angle be, and what does it give?"),
    "gauge": ("gauge", "What do you drill, and is what you drilled good enough?"),
    "teeth": ("teeth", "How many teeth, at which end, which way?"),
    "travel": ("travel", "What do the wheel and the bar do over the travel?"),
    "explain": ("explain", "What does a word mean here?"),
}


class _Commands(click.Group):
    """A group that imports a command when it is asked for."""

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
            hint = f" Did you mean {near[0]!r}?" if near else ""
            known = ", ".join(_COMMANDS)
            msg = f"There is no command {args[0]!r}.{hint} There are: {known}."
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
    for stream in (sys.stdout, sys.stderr):
        # A terminal that cannot show a degree sign shows a question mark instead.
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    try:
        code = cli.main(standalone_mode=False)
    except SplinewiseError as error:
        _fail(str(error))
    except click.exceptions.Abort:
        _fail("Stopped.")
    except click.ClickException as error:
        error.show()
        sys.exit(2)
    except BrokenPipeError:
        # Whoever read us has gone; say nothing, and keep Python from saying it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
    except Exception as error:
        if os.environ.get("SPLINEWISE_TRACEBACK"):
            raise
        _fail(
            f"Splinewise itself went wrong ({type(error).__name__}: {error}). Nothing "
            "was written. Set SPLINEWISE_TRACEBACK=1 and run it again to see where, "
            "and please report it."
        )
    sys.exit(code if isinstance(code, int) else 0)


def _fail(message: str) -> None:
    click.echo(message, err=True)
    sys.exit(2)
