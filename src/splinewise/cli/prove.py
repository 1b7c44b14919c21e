"""`splinewise prove`: is it right now?"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from splinewise.cli.options import (
    CAR,
    JSON,
    QuantityOption,
    again,
    book_options,
    corners_wanted,
    emit,
    open_car,
)

if TYPE_CHECKING:
    from splinewise.show import System
    from splinewise.tasks.prove import Proof

__all__ = ["command", "print_proof"]


@click.command("prove")
@CAR
@click.argument("corner", required=False)
@click.option(
    "--of",
    metavar="NAME",
    default="ride height",
    show_default=True,
    help="What to prove: the ride height, or a dimension with the bar slack.",
)
@click.option(
    "--value",
    type=QuantityOption("length"),
    metavar="LENGTH",
    help="What is wanted; the car file's figure if left out.",
)
@click.option(
    "--within",
    type=QuantityOption("length"),
    metavar="LENGTH",
    help="How far off it may be; the car file's tolerance if left out.",
)
@click.option(
    "--risk",
    type=QuantityOption("number"),
    default="5 %",
    show_default=True,
    metavar="CHANCE",
    help="Chance of a wrong verdict that you put up with.",
)
@book_options
@JSON
def command(
    car: str,
    corner: str | None,
    of: str,
    value: Any,
    within: Any,
    risk: Any,
    as_json: bool,
) -> int:
    """Is it right now?

    CAR is a car file, or demo:NAME. The ride height, or a length with the bar slack,
    is found from all readings together and held against what is wanted: pass, fail,
    or cannot tell.

    Exit code 1: a corner does not pass, or left and right differ.
    """
    from splinewise.tasks.prove import Wanted, prove

    here = open_car(car)
    wanted = Wanted(of, None if value is None else value.value, within and within.value)
    results = [
        prove(here, name, wanted, risk=risk.value)
        for name in corners_wanted(here, corner)
    ]
    emit(
        results,
        one=corner is not None,
        as_json=as_json,
        car=here,
        show=lambda p: print_proof(p, here.system, car=car),
    )
    return 0 if all(_right(p) for p in results) else 1


def _right(proof: Proof) -> bool:
    return proof.passes and (proof.level is None or proof.level.outcome == "pass")


def print_proof(proof: Proof, system: System, *, car: str) -> None:
    """Print a verdict, its limits and what comes next."""
    from splinewise.cli.pictures import doubt_bars
    from splinewise.cli.report import Report
    from splinewise.tasks.prove import chance_words
    from splinewise.tasks.said import said, said_size
    from splinewise.tasks.values import COVERAGE

    report = Report()
    report.title(f"{proof.car}, {proof.corner}: is its {proof.of} right?")
    report.answer(proof.words)
    if proof.level is not None:
        report.answer(proof.level.words)
    wanted, tolerance = proof.wanted.value, proof.tolerance.value
    report.picture(
        doubt_bars(
            [
                ("tolerance", wanted, tolerance),
                ("as read", proof.found.value, COVERAGE * (proof.found.doubt or 0.0)),
            ]
        )
    )
    low, high = proof.acceptance
    rows = [
        (f"{proof.of} ({proof.where})", said(proof.found, system)),
        ("wanted", said(proof.wanted, system)),
        ("may be off by", said_size(tolerance, system)),
        ("inside with a probability of", chance_words(proof.inside)),
    ]
    if proof.guard_band.known:
        rows += [
            ("passes from", said(low, system)),
            ("passes up to", said(high, system)),
            ("guard band", said_size(proof.guard_band.value, system)),
        ]
    report.table(rows, title="The verdict in figures")
    if not proof.guard_band.known:
        needed = said_size(COVERAGE * proof.doubt_needed.value, system)
        report.answer(
            "With this doubt nothing could pass. To pass even a corner exactly as "
            f"wanted, the ± must come down to {needed}."
        )
    report.points("Left out", proof.left_out)
    report.points(
        "How to read this",
        (
            (
                f"It passes where the risk of its being outside is at most "
                f"{100.0 * proof.risk:g} in 100, and fails where that of its being inside "
                "is. The guard band is how far inside the tolerance it must lie for that "
                "(JCGM 106)."
            ),
            (
                "Each ± is two standard doubts. Left and right are compared with the same "
                "tolerance."
            ),
        ),
    )
    report.points("Caution", proof.cautions)
    if proof.outcome == "fail":
        report.next("which teeth put it right?", again("teeth", car, proof.corner))
    elif proof.passes:
        report.next("write it into the record book.")
    else:
        report.next("are the readings sound?", again("readings", car, proof.corner))
    report.print()
