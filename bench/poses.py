"""How long a million poses of a double wishbone take, with all their outputs.

The least that such a pose can take is its trigonometric and root calls: sine and
cosine of the arm angle; four roots (upright, track rod, tyre, damper); one arcsine
(camber) and three arctangents (toe, caster, inclination).  NumPy makes these alone, a
block at a time into one array that is used again and again, which is kinder than any
pose can be.  The whole pose, with its exact derivative and every output stored, may
take ten times that.

A general solver on the upright's constraint equations is the other peer: SciPy, pose
by pose, each begun where the last one ended.
"""

from __future__ import annotations

import os
import sys

# One thread each, whatever the machine has; it must be said before NumPy starts.
for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"

import numpy as np
from measure import ROOT, Times, alternate, compare, report, where

sys.path.insert(0, str(ROOT / "tests"))

from scipy import optimize

from splinewise.core.linkages import DoubleWishbone, travel
from wishbones import EXAMPLE, Upright

POSES = 1_000_000
SOLVED = 400
BLOCK = 16_384
RUNS = 15
BAR = 10.0
SOLVER_BAR = 300.0

ANGLES = np.linspace(-0.4, 0.4, POSES)
CORNER = DoubleWishbone.build(EXAMPLE, outboard=1.0)
UPRIGHT = Upright(EXAMPLE, 1.0)


def poses() -> None:
    """Pose one corner a million times, and keep every output."""
    travel(CORNER, ANGLES)


def calls() -> None:
    """Make the trigonometric and root calls of as many poses, and nothing else."""
    room, share = np.empty(BLOCK), np.linspace(0.1, 0.9, BLOCK)
    for start in range(0, POSES, BLOCK):
        angle = ANGLES[start : start + BLOCK]
        out, other = room[: angle.size], share[: angle.size]
        np.sin(angle, out=out)
        np.cos(angle, out=out)
        for _ in range(4):
            np.sqrt(other, out=out)
        np.arcsin(angle, out=out)
        for _ in range(3):
            np.arctan2(angle, other, out=out)


def solver() -> None:
    """Let SciPy find some hundred poses, one after another; no outputs are asked."""
    x = np.zeros(6)
    for angle in np.linspace(0.0, 0.4, SOLVED):
        x = optimize.root(UPRIGHT.misfit, x, args=(angle,), options={"xtol": 1e-12}).x


def per_pose(times: Times, number: int) -> Times:
    """Share a time among poses. [s]"""
    return Times(tuple(second / number for second in times.seconds))


def main() -> int:
    """Time them; return 1 where a bar is missed."""
    print(where("splinewise", "numpy", "scipy"))
    subjects = {"a million poses": poses, "their root and angle calls": calls}
    times = alternate(subjects, runs=RUNS)
    code = report([compare(*subjects, times, bar=BAR)], runs=RUNS)

    ours = per_pose(times["a million poses"], POSES)
    theirs = per_pose(alternate({"solver": solver}, runs=5)["solver"], SOLVED)
    faster = theirs.median / ours.median
    held = faster >= SOLVER_BAR
    print(
        f"One pose: {1e9 * ours.median:.0f} ns here, {1e6 * theirs.median:.0f} µs by "
        f"SciPy's root finder: {faster:.0f} times as fast, "
        f"{'within' if held else 'MISSING'} the bar of {SOLVER_BAR:g}."
    )
    return code or int(not held)


if __name__ == "__main__":
    sys.exit(main())
