"""How long whole cars take to come to rest, many together and beside general peers.

Cars of invented numbers, each with its own hard points, springs, tyres, masses and
floors, on double wishbones in front and trailing arms behind.  Beside them, per car:

- SciPy's `root` on the very same forces out of balance, given the exact Jacobian and
  the same start, car by car, to the same accuracy;
- MuJoCo settling the same car by its own dynamics.  It is let have the largest step
  and the damping that proved fastest, and only its own steps are counted, made in one
  call, up to the first that is within 1e-5 m and 0.1 % of rest.

Then as many as a million cars, for the growth of the time and the memory of it all.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from dataclasses import dataclass, replace

# One thread each, whatever the machine has; it must be said before NumPy starts.
for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"

import numpy as np
from measure import ROOT, Times, alternate, table, where

sys.path.insert(0, str(ROOT / "tests"))

from splinewise.core.vehicle.batch import pick
from splinewise.core.vehicle.newton import AT_REST
from splinewise.core.vehicle.prepared import Prepared, prepare
from splinewise.core.vehicle.settle import start_of
from splinewise.core.vehicle.stand import stand
from vehicles import car

CARS = 16_384
SOLVED, ENGINED = 12, 3
RUNS = 5
SOLVER_BAR, ENGINE_BAR = 200.0, 20.0
GROWTH = (10_000, 100_000, 1_000_000)
GROWTH_BAR = 1.25  # time a car at the most over time a car at the fewest
MEMORY_BAR = 1024.0  # MiB
ENGINE_STEP, ENGINE_DAMPING = 8e-3, 500.0


def fleet(count: int, seed: int = 0, **plain: bool):
    """Return cars, each different in every number."""
    return car(np.random.default_rng(seed), count, **plain)


def solve(ready: Prepared, start: np.ndarray) -> np.ndarray:
    """Let SciPy bring one car to rest, given forces and Jacobian."""
    from scipy.optimize import root

    def forces(q: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        at = ready.at(q[None])
        return at.gradient[0] / ready.weight[0], at.hessian[0] / ready.weight[0]

    # This tolerance, of the state, leaves the forces at rest to the same share.
    return root(forces, start, jac=True, tol=1e-8).x


@dataclass(frozen=True)
class Solved:
    """Single cars ready for SciPy, where each starts, and how near each way comes.

    Forces out of balance are shares of the weight; `failed` is how many cars more the
    root finder did not bring to rest, which it need not answer for here.
    """

    ready: list[Prepared]
    starts: list[np.ndarray]
    ours: float
    theirs: float
    failed: int


def solved(cars) -> Solved:
    """Return cars that SciPy can solve, once it has shown that it does."""
    ready, starts, ours, theirs, tried = [], [], [], [], 0
    while len(ready) < SOLVED:
        one = prepare(pick(cars, np.array([tried]), CARS), 1)
        tried += 1
        start, here = start_of(one)[0], stand(one.vehicle).state
        there = solve(one, start)[None]
        if np.max(np.abs(there - here)) < 1e-8:
            ready.append(one)
            starts.append(start)
            ours.append(one.off(one.at(here).gradient)[0])
            theirs.append(one.off(one.at(there).gradient)[0])
    return Solved(ready, starts, max(ours), max(theirs), tried - SOLVED)


def beside_solver() -> tuple[str, bool]:
    """Time many cars together and some car by car; return a line."""
    cars = fleet(CARS)
    peer = solved(cars)
    assert peer.ours < AT_REST, "not at rest"
    assert stand(cars).stands.all()
    subjects = {
        "together": lambda: stand(cars),
        "by SciPy": lambda: [
            solve(one, q) for one, q in zip(peer.ready, peer.starts, strict=True)
        ],
    }
    times = alternate(subjects, runs=RUNS, warm_ups=1)
    here, there = times["together"], times["by SciPy"]
    a, b = here.median / CARS, there.median / SOLVED
    held = b / a >= SOLVER_BAR
    print(
        table(
            [
                ["", "a car", "middle half", "out of balance"],
                [f"{CARS} cars together", *_spread(here, CARS), f"{peer.ours:.0e}"],
                [
                    "SciPy root, car by car",
                    *_spread(there, SOLVED),
                    f"{peer.theirs:.0e}",
                ],
            ]
        )
    )
    print(f"SciPy failed on {peer.failed} of {SOLVED + peer.failed} cars.")
    line = f"{b / a:.0f} times as fast as SciPy's root finder, bar {SOLVER_BAR:g}"
    return line, held


def _spread(times: Times, number: int) -> list[str]:
    low, high = (1e6 * x / number for x in times.quartiles)
    return [f"{1e6 * times.median / number:.1f} µs", f"{low:.1f} to {high:.1f} µs"]


def beside_engine() -> tuple[str, bool]:
    """Time the engine's own steps for some cars; return a line."""
    import mujoco

    import engine
    from engine_cases import HEIGHTS, engine_car
    from vehicles import vec

    rows, own = [["engine's car", "steps", "own steps", "with tyres"]], []
    for seed in range(ENGINED):
        vehicle, hard = engine_car(seed)
        found = stand(vehicle)
        goal = [float(found.attitude.height(vec(p))) for p in HEIGHTS]
        model, tyres = engine.whole_car(
            vehicle, hard, step=ENGINE_STEP, damping=ENGINE_DAMPING
        )

        def near(rest, goal=goal, tyres=tyres, loads=found.loads) -> bool:
            apart = [
                abs(rest.height(p) - h) for p, h in zip(HEIGHTS, goal, strict=True)
            ]
            share = [rest.force(t) / f - 1 for t, f in zip(tyres, loads, strict=True)]
            return max(apart) < 1e-5 and max(map(abs, share)) < 1e-3

        rest = engine.Settled(model, tyres, until=near)
        begin = time.perf_counter()
        engine.Settled(model, tyres, seconds=rest.steps * ENGINE_STEP)
        whole = time.perf_counter() - begin
        took = []
        for _ in range(RUNS):
            data = mujoco.MjData(model)
            begin = time.perf_counter()
            mujoco.mj_step(model, data, nstep=rest.steps)
            took.append(time.perf_counter() - begin)
        own.append(float(np.median(took)))
        rows.append(
            [
                f"car {seed}",
                str(rest.steps),
                f"{1e3 * own[-1]:.2f} ms",
                f"{1e3 * whole:.1f} ms",
            ]
        )
    print(table(rows))
    cars = fleet(CARS, stops=False, bars=False)
    ours = alternate({"ours": lambda: stand(cars)}, runs=3, warm_ups=1)["ours"]
    faster = float(np.median(own)) / (ours.median / CARS)
    line = (
        f"{faster:.0f} times as fast as MuJoCo's own steps ({ours.median / CARS * 1e6:.0f}"
        f" µs a car of that kind), bar {ENGINE_BAR:g}"
    )
    return line, faster >= ENGINE_BAR


def grow(count: int) -> None:
    """Let so many cars stand in a process of its own; print time and greatest memory.

    All have one set of hard points; masses, places, springs, tyres and floors differ.
    """
    import resource

    rng = np.random.default_rng(1)
    base = car(spread=0.0)
    corners = tuple(
        replace(
            c,
            spring=replace(
                c.spring, slack=c.spring.slack + rng.uniform(-0.03, 0.03, count)
            ),
            tyre_rate=rng.uniform(1.2e5, 2.6e5, count),
            floor=rng.uniform(-0.02, 0.02, count),
        )
        for c in base.corners
    )
    body = replace(base.body, mass=base.body.mass * rng.uniform(0.9, 1.1, count))
    cars = replace(base, body=body, corners=corners)
    begin = time.perf_counter()
    found = stand(cars)
    took = time.perf_counter() - begin
    assert found.stands.all()
    print(took, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0)


def growth() -> tuple[str, bool]:
    """Run more and more cars, each number in a process of its own; return a line."""
    rows, each, most = [["cars", "seconds", "a car", "greatest memory"]], [], 0.0
    for count in GROWTH:
        done = subprocess.run(
            [sys.executable, __file__, "--grow", str(count)],
            capture_output=True,
            text=True,
            check=True,
        )
        took, memory = map(float, done.stdout.split())
        each.append(took / count)
        most = max(most, memory)
        rows.append(
            [str(count), f"{took:.2f}", f"{1e6 * each[-1]:.1f} µs", f"{memory:.0f} MiB"]
        )
    print(table(rows))
    ratio = each[-1] / each[0]
    line = (
        f"a car among a million takes {ratio:.2f} times one among ten thousand, bar "
        f"{GROWTH_BAR:g}; {most:.0f} MiB, bar {MEMORY_BAR:g}"
    )
    return line, ratio <= GROWTH_BAR and most < MEMORY_BAR


def main() -> int:
    """Time them; return 1 where a bar is missed."""
    print(where("splinewise", "numpy", "scipy", "mujoco-core"))
    solver, solver_held = beside_solver()
    engines, engine_held = beside_engine()
    growing, growth_held = growth()
    for line, held in (
        (solver, solver_held),
        (engines, engine_held),
        (growing, growth_held),
    ):
        print(f"{line}: {'held' if held else 'MISSED'}.")
    return int(not (solver_held and engine_held and growth_held))


if __name__ == "__main__":
    if sys.argv[1:2] == ["--grow"]:
        grow(int(sys.argv[2]))
    else:
        sys.exit(main())
