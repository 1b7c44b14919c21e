"""`splinewise explain`: what does a word mean here?"""

from __future__ import annotations

import click

from splinewise.cli.options import JSON, emit

__all__ = ["command"]


@click.command("explain")
@click.argument("word", nargs=-1)
@JSON
def command(word: tuple[str, ...], as_json: bool) -> int:
    """What does a word mean here? Without a word, the whole list.

    \b
      splinewise explain slack angle
    """  # noqa: D301  click reads the backspace
    from splinewise.tasks.glossary import WORDS, Word, explain

    found = [explain(" ".join(word))] if word else list(WORDS.values())

    def show(entry: Word) -> None:
        from splinewise.cli.report import Report

        report = Report()
        report.title(entry.word)
        report.answer(entry.meaning)
        if entry.sign:
            report.answer(entry.sign)
        if entry.see:
            report.answer(f"See also: {', '.join(entry.see)}.")
        report.print()

    emit(found, one=bool(word), as_json=as_json, show=show)
    return 0
