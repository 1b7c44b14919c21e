"""An invented corner with shims and a track rod, and its pose by a way of its own.

`put_together` finds the joints after shims from nothing but lengths that stay, by
SciPy's root finder; the arms' pivots are put on the shimmed line by hand.
"""

import numpy as np
from scipy.optimize import root
from scipy.spatial.transform import Rotation

from splinewise.core.alignment.corners import WishboneCorner
from splinewise.core.alignment.rods import ScrewedRod, Thread
from splinewise.core.alignment.shims import ShimPacks
from splinewise.core.geometry import Vec
from wishbones import EXAMPLE, changed, mirrored

MM = 1e-3
DEGREE = np.pi / 180.0
NOW = 6.4 * MM


def corner(
    side=1.0,
    *,
    arm="upper",
    bar_on="lower",
    now=NOW,
    most=20.0 * MM,
    apart=10.0 * MM,
    stock=(),
    step=0.0,
    engaged=20.0 * MM,
    points=EXAMPLE,
):
    """Return the invented corner; shims push the arm's shaft inboard."""
    points = points if side > 0 else mirrored(points)
    front, rear = getattr(points, f"{arm}_front"), getattr(points, f"{arm}_rear")
    # The bolts stand a little inside the two bushes.
    bolts = front + 0.1 * (rear - front), rear - 0.15 * (rear - front)
    packs = ShimPacks(arm, *bolts, (0.0, -side, 0.0), now, now, most, apart, stock)
    ends = [
        Thread(name, 1.5 * MM, engaged, 12.0 * MM, 30.0 * MM)
        for name in ("inner end", "outer end")
    ]
    return WishboneCorner(
        points, side, (packs, ScrewedRod("rod", tuple(ends), step)), bar_on=bar_on
    )


def plain(points):
    """Return hard points as arrays, whatever they came as."""
    return changed(points, lambda p: p.array if isinstance(p, Vec) else np.asarray(p))


def pivots_after(corner, front, rear):
    """Return the pivots of the shimmed arm: their middle shifted, their line turned."""
    packs, points = corner.adjusters[0], corner.points
    old = [getattr(points, f"{packs.arm}_{end}") for end in ("front", "rear")]
    line = packs.front_bolt - packs.rear_bolt
    way = np.array(packs.direction)
    moved = []
    for pivot in old:
        share = (pivot - packs.rear_bolt) @ line / (line @ line)
        by = (rear - packs.rear) + ((front - packs.front) - (rear - packs.rear)) * share
        moved.append(pivot + way * by)
    middle, along = (moved[0] + moved[1]) / 2.0, moved[0] - moved[1]
    half = np.linalg.norm(old[0] - old[1]) / 2.0
    along = along / np.linalg.norm(along)
    return middle + half * along, middle - half * along


def put_together(corner, front, rear, turns):
    """Return joints after shims, with the lower arm held at its drawn angle.

    For a bar on the lower arm and shims under the upper one.  What comes back is
    (upper ball, outer track-rod joint, wheel centre, spindle).
    """
    p = corner.points
    uf, ur = pivots_after(corner, front, rear)
    rod = corner.adjusters[1].gain * turns

    def apart(a, b):
        return np.linalg.norm(a - b)

    def misfit(x):
        ball, outer = x[:3], x[3:]
        return [
            apart(ball, uf) - apart(p.upper_ball, p.upper_front),
            apart(ball, ur) - apart(p.upper_ball, p.upper_rear),
            apart(ball, p.lower_ball) - apart(p.upper_ball, p.lower_ball),
            apart(outer, p.lower_ball) - apart(p.rod_outer, p.lower_ball),
            apart(outer, ball) - apart(p.rod_outer, p.upper_ball),
            apart(outer, p.rod_inner) - apart(p.rod_outer, p.rod_inner) - rod,
        ]

    start = np.concatenate([p.upper_ball, p.rod_outer])
    found = root(misfit, start, options={"xtol": 1e-15})
    assert np.max(np.abs(found.fun)) < 1e-14, found
    ball, outer = found.x[:3], found.x[3:]
    old = np.array([p.upper_ball, p.rod_outer]) - p.lower_ball
    new = np.array([ball, outer]) - p.lower_ball
    turn = Rotation.align_vectors(new, old)[0]
    hub = p.lower_ball + turn.apply(p.wheel_centre - p.lower_ball)
    return ball, outer, hub, turn.apply(p.spindle)
