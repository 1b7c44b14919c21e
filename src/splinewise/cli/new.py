"""`splinewise new`: start a car file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from splinewise.cli.options import write_new, wrote

if TYPE_CHECKING:
    from splinewise.show import System

__all__ = ["command"]


@click.command("new")
@click.argument(
    "path", type=click.Path(dir_okay=False, path_type=Path), default="car.toml"
)
@click.option("--layout", metavar="LAYOUT", help="Layout of the suspension.")
@click.option("--name", metavar="TEXT", help="What you call the car.")
@click.option(
    "--units", type=click.Choice(["inch", "metric"]), help="Units to show results in."
)
def command(path: Path, layout: str | None, name: str | None, units: str | None) -> int:
    """Start a car file by answering a few questions.

    PATH is the file to write, car.toml if left out; it must not be there yet. What
    is not given as an option is asked.
    """
    from splinewise.car.layouts import LAYOUTS
    from splinewise.car.write import new_car_text

    known = list(LAYOUTS)
    if layout is None:
        click.echo("Which layout is the sprung corner?")
        for i, each in enumerate(known, 1):
            click.echo(f"  {i}. {each}")
        number = click.prompt("Number", type=click.IntRange(1, len(known)))
        layout = known[number - 1]
    if layout not in known:
        msg = f"There is no layout {layout!r}. There are: {', '.join(known)}."
        raise click.UsageError(msg)
    if name is None:
        name = click.prompt("What do you call the car?")
    if units is None:
        units = click.prompt(
            "Show results in which units?", type=click.Choice(["inch", "metric"])
        )
    system: System = "metric" if units == "metric" else "inch"
    write_new(path, new_car_text(layout, name=name, units=system))
    wrote(path, "open it, fill in what it asks for, then:")
    return 0
