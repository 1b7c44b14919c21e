"""How long readings take: drawing a car's heights, fitting 60 readings, what to read next.

The draws go from a gauge as drilled to the standing heights of four corners, block by
block, and are compared with a Python loop that asks for one car at a time; both call
the same mechanics.
"""

from __future__ import annotations

import os
import sys

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"

from dataclasses import replace
from types import MappingProxyType

import numpy as np
from measure import alternate, where

from splinewise.car.demos import load_demo
from splinewise.tasks.fit_joint import joint_of, solve_joint
from splinewise.tasks.fit_model import CornerModel
from splinewise.tasks.next_reading import next_reading
from splinewise.tasks.plan import plan

DRAWS = 100_000
LOOPED = 50
BLOCK = 10_000
RUNS = 5
BAR = 200.0
FIT_BAR = 0.050
NEXT_BAR = 1.0

CAR = load_demo("tourer")
# Two corners twice over stand for the four of a car.
CORNERS = [*CAR.corners.values()] * 2
RNG = np.random.default_rng(1)


def inputs(count: int) -> list[np.ndarray]:
    """Draw gauge length, bar rate, load and drawn height of each corner. [SI]"""
    drawn = []
    for corner in CORNERS:
        slack = plan(CAR, corner.name).slack_angle.value
        span = corner.dimensions["setting length"].span
        rate, load = corner.bar.rate.value, corner.load.value
        height = corner.ride_height.drawn.value if corner.ride_height else 0.0
        middle = np.array([float(span.length(slack)), rate, load, height])
        spread = np.array([2e-4, 0.01 * rate, 0.005 * load, 5e-4])
        drawn.append(middle + spread * RNG.standard_normal((count, 4)))
    return drawn


def heights(drawn: list[np.ndarray]) -> np.ndarray:
    """Return the standing heights of the corners, shape (count, 4). [m]"""
    found = []
    for corner, given in zip(CORNERS, drawn, strict=True):
        x = given.copy()
        span = corner.dimensions["setting length"].span
        x[:, 0] = span.angle(given[:, 0])
        found.append(CornerModel(corner, ()).height(x))
    return np.stack(found, axis=-1)


DRAWN = inputs(DRAWS)


def blocks() -> np.ndarray:
    """Draw all, in blocks whose memory is bounded."""
    return np.concatenate(
        [heights([d[i : i + BLOCK] for d in DRAWN]) for i in range(0, DRAWS, BLOCK)]
    )


def loop() -> np.ndarray:
    """Ask for one car at a time."""
    return np.concatenate(
        [heights([d[i : i + 1] for d in DRAWN]) for i in range(LOOPED)]
    )


def with_sixty() -> object:
    """Return the tourer's left corner with each reading taken twenty times."""
    here = CAR.corners["front-left"]
    many = tuple(
        replace(r, name=f"{r.name} {i}") for i in range(20) for r in here.readings
    )
    corners = {**CAR.corners, "front-left": replace(here, readings=many)}
    return replace(CAR, corners=MappingProxyType(corners))


def with_many_dimensions() -> object:
    """Return the tourer's left corner with so many dimensions that 200 can be read."""
    here = CAR.corners["front-left"]
    more = {f"{n} {i}": d for i in range(55) for n, d in here.dimensions.items()}
    changed = replace(here, dimensions=MappingProxyType({**here.dimensions, **more}))
    return replace(
        CAR, corners=MappingProxyType({**CAR.corners, "front-left": changed})
    )


def main() -> int:
    """Time them; return 1 where a bar is missed."""
    print(where("splinewise", "numpy"))
    if not np.allclose(blocks()[:LOOPED], loop(), rtol=0, atol=1e-12):
        print("The draws and the loop do not agree.")
        return 1
    times = alternate({"draws": blocks, "loop": loop}, runs=RUNS, warm_ups=1)
    faster = times["loop"].median / LOOPED * DRAWS / times["draws"].median
    print(
        f"{DRAWS} draws from gauge to four heights: {times['draws'].median:.2f} s, "
        f"{faster:.0f} times as fast as a loop, bar {BAR:g}."
    )
    joint = joint_of(with_sixty(), ["left"])
    many = with_many_dimensions()

    def ask() -> object:
        return next_reading(many, "left", wanted="slack angle", instruments=("rule",))

    rest = alternate({"fit": lambda: solve_joint(joint), "next": ask}, runs=9)
    fit, after = rest["fit"].median, rest["next"].median
    print(f"A fit of {len(joint.rows)} readings, warm: {1e3 * fit:.1f} ms, bar 50 ms.")
    print(f"What to read next, of {ask().weighed}: {1e3 * after:.0f} ms, bar 1 s.")
    return int(faster < BAR or fit > FIT_BAR or after > NEXT_BAR)


if __name__ == "__main__":
    sys.exit(main())
