"""`splinewise schema`: what is in the JSON, and what a car file may say."""

from __future__ import annotations

import click

from splinewise.tasks.values import KINDS

__all__ = ["command"]

_CAR = "car"


@click.command("schema")
@click.argument("kind", required=False)
def command(kind: str | None) -> int:
    """What is in the JSON that --json writes, and what may a car file say?

    KIND is a kind of result, or car for the car file; its JSON Schema is printed.
    Without a kind, the kinds are listed.

    \b
      splinewise schema car > car.schema.json

    puts the car file's schema where an editor that knows JSON Schema looks for it.
    """  # noqa: D301  click reads the backspace
    if kind is None:
        click.echo("\n".join([_CAR, *KINDS]))
        return 0
    click.echo(_text(kind), nl=False)
    return 0


def _text(kind: str) -> str:
    if kind == _CAR:
        from importlib.resources import files

        place = files("splinewise.car") / "car.schema.json"
        return place.read_text(encoding="utf-8")
    if kind not in KINDS:
        known = ", ".join([_CAR, *KINDS])
        msg = f"There is no kind of result {kind!r}. There are: {known}."
        raise click.UsageError(msg)
    from splinewise.tasks.schema import published

    return published(kind)
