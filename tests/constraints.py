"""Poses found the slow way: SciPy's root finder on the constraints of a linkage.

Nothing of the closed forms is used: bodies turn by SciPy's rotations, lengths and
lines are written as equations, and each pose starts from the one before, so that the
branch is that of the drawn position.
"""

import numpy as np
from scipy.optimize import root
from scipy.spatial.transform import Rotation

from layouts import TRAVEL


def bump_turn(front, rear, outer, angle):
    """Rotation of an arm about its pivots' line; positive lifts its outer end."""
    axis = (front - rear) / np.linalg.norm(front - rear)
    if np.cross(axis, outer - rear)[2] < 0.0:
        axis = -axis
    return Rotation.from_rotvec(axis * angle)


def about(pivot, rotation, point):
    """Where a point of an arm goes."""
    return pivot + rotation.apply(point - pivot)


def distance(a, b):
    """Length between two points."""
    return np.linalg.norm(a - b)


def follow(equations, unknowns, angles=TRAVEL):
    """Solve `equations(x, angle)` at each angle, outward from the drawn position.

    `unknowns` is their number; all are zero as drawn.
    """
    found = {}
    for side in (angles[angles >= 0.0], angles[angles < 0.0][::-1]):
        x = np.zeros(unknowns)
        for angle in side:
            x = solved(equations, x, angle)
            found[angle] = x
    return np.array([found[a] for a in angles])


def solved(equations, guess, *args):
    """Solve to the last digits; complain by what is left over, not by step sizes."""
    # At an unknown of 1e-17 the finder's own differences would drown in rounding.
    got = root(equations, guess + 1e-4, args=args, tol=1e-14)
    assert np.max(np.abs(got.fun)) < 1e-13, (args, got.fun, got.message)
    return got.x


def contact(wheel, spindle, radius):
    """Lowest point of the wheel's circle, found by its angle round the spindle."""
    s = spindle / np.linalg.norm(spindle)
    ahead = np.cross(s, [0.0, 0.0, 1.0])
    ahead = ahead / np.linalg.norm(ahead)
    return wheel - radius * np.cross(ahead, s)
