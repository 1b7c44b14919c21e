"""`splinewise schema`: what is in the JSON?"""

from __future__ import annotations

import click

from splinewise.tasks.values import KINDS

__all__ = ["command"]


@click.command("schema")
@click.argument("kind", required=False)
def command(kind: str | None) -> int:
    """What is in the JSON that --json writes?

    KIND is a kind of result; its JSON Schema is printed. Without a kind, the kinds
    are listed.
    """
    if kind is None:
        click.echo("\n".join(KINDS))
        return 0
    from splinewise.tasks.schema import published

    click.echo(published(kind), nl=False)
    return 0
