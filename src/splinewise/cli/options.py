"""What several commands share: the car to read, JSON, quantities as options."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from splinewise.cli.terminal import speaks
from splinewise.errors import TextError

if TYPE_CHECKING:
    from splinewise.car.model import Car, Figure

__all__ = [
    "CAR",
    "JSON",
    "QuantityOption",
    "WholeNumber",
    "again",
    "book_options",
    "corners_wanted",
    "emit",
    "figure",
    "open_car",
    "write_new",
    "wrote",
]

CAR = click.argument("car", metavar="CAR")
"""The car file, `demo:NAME` for an invented car, or `book:NAME` for one kept."""

JSON = click.option(
    "--json", "as_json", is_flag=True, help="Write the result as JSON, for machines."
)


_KEEP, _PLACE = "splinewise.keep", "splinewise.book"


def _remember(name: str) -> Callable[[click.Context, click.Parameter, Any], Any]:
    """Return a callback that puts an option where `open_car` and `emit` find it."""

    def remember(ctx: click.Context, param: click.Parameter, given: Any) -> Any:
        del param
        ctx.meta[name] = given
        return given

    return remember


def book_options(function: Any) -> Any:
    """Add `--keep` and `--book`, which put a result into the record book."""
    for option in (
        click.option(
            "--book",
            type=click.Path(path_type=Path),
            metavar="PATH",
            expose_value=False,
            callback=_remember(_PLACE),
            help="The record book, for --keep and book:NAME.",
        ),
        click.option(
            "--keep",
            is_flag=True,
            expose_value=False,
            callback=_remember(_KEEP),
            help="Put the result into the record book, to stay.",
        ),
    ):
        function = option(function)
    return function


class QuantityOption(click.ParamType[Any]):
    """An option typed as people write quantities, such as "15 5/8 in ± 1/64 in".

    Attributes
    ----------
    kind : str
        One of `splinewise.units.KINDS`.
    """

    def __init__(self, kind: str) -> None:
        self.kind = kind
        self.name = kind

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> Any:
        """Read the text; say what is wrong with it where it cannot be read."""
        from splinewise.units import read

        try:
            return read(value, self.kind)
        except TextError as error:
            return self.fail(str(error), param, ctx)


class WholeNumber(click.ParamType[int]):
    """An option that is a whole number within limits.

    Attributes
    ----------
    low, high : int
        The limits, both allowed.
    """

    name = "number"

    def __init__(self, low: int, high: int) -> None:
        self.low, self.high = low, high

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> int:
        """Read the number; say what would do where it is none."""
        if isinstance(value, int):
            return value
        if value.isascii() and value.isdigit() and len(value) < 10:
            number = int(value)
            if self.low <= number <= self.high:
                return number
        wanted = f"a whole number from {self.low} to {self.high}"
        return self.fail(f"{value[:40]!r} is not {wanted}.", param, ctx)


def figure(quantity: Any, *, standing: Any = "measured", source: str = "") -> Figure:
    """Return a typed quantity as a figure of the car.

    Parameters
    ----------
    quantity : Quantity
        As typed.
    standing : str
        What kind of knowledge it is.
    source : str
        Where it came from.

    Returns
    -------
    Figure
        The figure. [SI]
    """
    from splinewise.car.model import Figure

    return Figure(
        quantity.value, quantity.doubt, standing, source, quantity.text, quantity.step
    )


def open_car(name: str) -> Car:
    """Read a car file, one of the invented cars, or one of the record book.

    Parameters
    ----------
    name : str
        A path, `demo:NAME` or `book:NAME`.

    Returns
    -------
    Car
        The car.
    """
    if not name:
        msg = "Name a car file, or demo:NAME for an invented car."
        raise click.UsageError(msg)
    from splinewise.car.file import load_car

    if name.startswith("demo:"):
        from splinewise.car.demos import load_demo

        return load_demo(name.removeprefix("demo:"))
    if name.startswith("book:"):
        from splinewise.cli.keeping import open_book_car

        return open_book_car(name.removeprefix("book:"), _told(_PLACE))
    return load_car(name)


def _told(name: str) -> Any:
    """Return what `book_options` remembered of this command."""
    ctx = click.get_current_context(silent=True)
    return None if ctx is None else ctx.meta.get(name)


def corners_wanted(car: Car, name: str | None) -> Sequence[str]:
    """Return the corners a command is about: the one named, or all.

    Parameters
    ----------
    car : Car
        The car.
    name : str or None
        A corner's name or side.

    Returns
    -------
    sequence of str
        Names of corners.
    """
    if name is None:
        return list(car.corners)
    from splinewise.tasks.slack import corner_of

    return [corner_of(car, name).name]


def again(command: str, car: str, *words: str) -> str:
    """Return a command line that can be typed as it stands.

    Parameters
    ----------
    command : str
        The command.
    car : str
        The car file as it was named.
    *words : str
        What follows: the corner, and options.

    Returns
    -------
    str
        The line, with quotes where a shell needs them.
    """
    import shlex

    line = ["splinewise", command, car, *words]
    # Inches are read more easily in double quotes, which a Windows shell takes too.
    return " ".join(
        f'"{word}"'
        if " " in word and not set(word) & set('"$`\\!')
        else shlex.quote(word)
        for word in line
    )


def emit(
    results: Sequence[object],
    *,
    one: bool,
    as_json: bool,
    show: Callable[[Any], None],
    car: Car | None = None,
) -> None:
    """Print results as JSON or as words, and keep them where that was asked.

    Parameters
    ----------
    results : sequence of dataclass instance
        What a task returned, one for each corner.
    one : bool
        Whether one thing was asked for: then the JSON is an object, else an array.
    as_json : bool
        Whether to write JSON.
    show : callable
        Prints one result in words.
    car : Car, optional
        The car that the results are of, for `--keep`.
    """
    if _told(_KEEP):
        if car is None:
            msg = "--keep needs a car: there is nothing here that a book could hold."
            raise click.UsageError(msg)
        from splinewise.cli.keeping import as_typed, keep_result

        typed = as_typed(click.get_current_context().params)
        keep_result(_told(_PLACE), car, results, inputs=typed, show=show)
    if not as_json:
        for i, result in enumerate(results):
            if i:
                click.echo()
            show(result)
        return
    from splinewise.tasks.values import as_json as plain

    data = [plain(result) for result in results]
    whole = data[0] if one else data
    text = json.dumps(whole, ensure_ascii=False, indent=2, allow_nan=False)
    if not speaks(text):
        text = json.dumps(whole, indent=2)
    click.echo(text)


def write_new(path: Path, text: str) -> None:
    """Write a file that is not there yet, whole or not at all.

    Parameters
    ----------
    path : Path
        The file.
    text : str
        What shall stand in it.
    """
    try:
        file = path.open("x", encoding="utf-8")
    except FileExistsError:
        msg = f"{path} is there already; name another file."
        raise click.UsageError(msg) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        msg = f"{path} cannot be written: {reason}."
        raise click.UsageError(msg) from None
    try:
        with file:
            file.write(text)
    except OSError as error:
        path.unlink(missing_ok=True)
        msg = f"{path} could not be written whole, so it was taken away: {error.strerror}."
        raise click.UsageError(msg) from None


def wrote(path: Path, what_next: str) -> None:
    """Say that a car file was written, and what to do next.

    Parameters
    ----------
    path : Path
        The file.
    what_next : str
        What comes before the command that checks it.
    """
    from splinewise.cli.report import Report

    report = Report()
    report.answer(f"Wrote {path}.", whole=True)
    if _put_schema_beside(path):
        report.answer("Beside it lies car.schema.json, by which an editor can help.")
    report.next(what_next, again("check", str(path)))
    report.print()


def _put_schema_beside(path: Path) -> bool:
    """Write the car file's schema beside it; return whether it was written now."""
    from importlib.resources import files

    text = (files("splinewise.car") / "car.schema.json").read_text(encoding="utf-8")
    try:
        with path.with_name("car.schema.json").open("x", encoding="utf-8") as file:
            file.write(text)
    except OSError:
        return False  # one that is there stays, and the car file does without any
    return True
