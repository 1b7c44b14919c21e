"""`splinewise book`: the record book, a command for each thing done with it."""

from __future__ import annotations

import importlib

import click

__all__ = ["command"]

# Name → (module, its command, one line of help), in the order in which they are met.
_COMMANDS = {
    "create": ("book_cars", "create", "Make an empty book."),
    "cars": ("book_cars", "cars", "Which cars are in the book?"),
    "add-car": ("book_cars", "add_car", "Put a car's file into the book."),
    "revise": ("book_cars", "revise", "Keep a new version of a car's file."),
    "text": ("book_cars", "text", "Write a car's file out again, word for word."),
    "visit": ("book_write", "visit", "Begin a visit: as found, bench, and so on."),
    "reading": ("book_write", "reading", "Keep what you read, with its repeats."),
    "move": (
        "book_write",
        "move",
        "Keep what you moved: teeth, adjuster, shims, rods.",
    ),
    "note": ("book_write", "note", "Keep a note."),
    "photo": ("book_photo", "photo", "Keep a photo, without where it was taken."),
    "amend": ("book_amend", "amend", "Correct an entry, or strike it; both stay."),
    "show": ("book_look", "show", "What holds of this car now?"),
    "history": ("book_look", "history_of", "All that was ever entered, in order."),
    "entry": ("book_look", "entry", "One entry in full; a result as it was shown."),
    "find": ("book_look", "find_words", "Where in the book was that?"),
    "export": ("book_care", "export_car", "A car's history as plain files."),
    "import": ("book_care", "import_car", "Bring such a history in, without doubling."),
    "backup": ("book_care", "backup_book", "Copy the book while it is in use."),
    "verify": ("book_care", "verify_book", "Is the book sound, to the last byte?"),
    "recheck": ("book_care", "recheck_car", "Do kept results come out the same today?"),
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
        module, name, _ = _COMMANDS[cmd_name]
        found = getattr(importlib.import_module(f"splinewise.cli.{module}"), name)
        if not isinstance(found, click.Command):
            raise TypeError(cmd_name)
        return found

    def format_commands(
        self, ctx: click.Context, formatter: click.HelpFormatter
    ) -> None:
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl([(n, words) for n, (_, _, words) in _COMMANDS.items()])

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in _COMMANDS and not args[0].startswith("-"):
            import difflib

            near = difflib.get_close_matches(args[0], _COMMANDS, n=1)
            hint = f" Did you mean {near[0]!r}?" if near else ""
            known = ", ".join(_COMMANDS)
            msg = (
                f"There is no command {args[0]!r} for a book.{hint} There are: {known}."
            )
            raise click.UsageError(msg, ctx)
        return super().resolve_command(ctx, args)


@click.group("book", cls=_Commands)
def command() -> None:
    """What was found, what was done, and why was it believed right?

    One file keeps all of it and only ever grows: a correction stands beside what it
    corrects. Where it is, --book says, or the variable SPLINEWISE_BOOK; else it is
    where your system keeps such files.
    """
