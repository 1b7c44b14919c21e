"""What each hard point of a corner does to the standing vehicle, exactly.

The linkage is built once more from points that move along a way t while its arm may
turn as well: (θ, p) = (θ₀ + a t, p₀ + b t).  Its second derivatives along t for
(a, b) = (1, 1), (1, 0) and (0, 1) give the mixed one by polarisation,

    ∂²U/∂θ∂p = ½ (U″(1, 1) − U″(1, 0) − U″(0, 1)),

which with ∂²U/∂z∂p, ∂²U/∂u∂p and ∂²U/∂v∂p from (0, 1) is ∂g/∂p (own derivation).
Every coordinate moves along an axis of its own, so all are worked out together.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from splinewise.core.geometry import Vec
from splinewise.core.jet import Jet, Number, curvature, seed, slope, value
from splinewise.core.linkages.base import Linkage
from splinewise.core.quantities import Array
from splinewise.core.vehicle.attitude import Attitude
from splinewise.core.vehicle.corner_state import CornerState, corner_state, drawn
from splinewise.core.vehicle.parts import Vehicle
from splinewise.core.vehicle.response import Answer, Effect, Push
from splinewise.core.vehicle.rest import Stand

__all__ = ["by_hard_points"]


def by_hard_points(
    vehicle: Vehicle,
    found: Stand,
    points: Sequence[Vec] = (),
    *,
    corner: int,
    hard: Any,
    names: Sequence[str],
    build: Callable[[Any], Linkage],
) -> Effect:
    """Return what moving the hard points of a corner does.

    Arm angle, slack angle and rises stay counted from the drawn position, which the
    moved points then draw.

    Parameters
    ----------
    vehicle : Vehicle, shape (...)
        The vehicles. [kg]
    found : Stand, shape (...)
        Where they stand. [m]
    points : sequence of Vec, shape (m,)
        Points of the body whose heights are asked for. [m]
    corner : int
        Place of the corner in the vehicle's row. [1]
    hard : dataclass
        Its hard points, arrays of shape (..., 3). [m]
    names : sequence of str, shape (k,)
        Fields of `hard` that move. [1]
    build : callable
        What builds the corner's linkage from its hard points. [m]

    Returns
    -------
    Effect, shape (..., 3 k)
        Per metre of x, y and z of each point, in the order of `names`. [unit]
    """
    answer = Answer.of(vehicle, found, points)
    theta = np.where(found.stands, found.state[..., 3 + corner], np.nan)
    lead = theta.ndim
    linkage = build(_moving(hard, names, lead))
    own = replace(vehicle.corners[corner], linkage=linkage)
    at = Attitude(*(found.state[..., i] for i in range(3)))
    with np.errstate(invalid="ignore", divide="ignore"):
        zero = drawn(own)

        def along(angle: Any) -> CornerState:
            pose = linkage.pose(angle)
            return corner_state(own, pose, angle, at, vehicle.gravity, zero)

        held, turned = along(theta), along(seed(theta))
        gradient = _push(vehicle, answer, corner, held, turned)
    # The coordinates lie along the first axis so far.
    shape = (3 * len(names), *theta.shape)
    push = Push.none(theta.shape, len(vehicle.corners), 3 * len(names))
    for row, part in gradient.items():
        push.gradient[..., row, :] = np.moveaxis(np.broadcast_to(part, shape), 0, -1)
    push.loads[..., corner, :] = -np.moveaxis(
        np.broadcast_to(answer.grip[..., corner] * held.tyre.t, shape), 0, -1
    )
    return answer.to(push)


def _moving(hard: Any, names: Sequence[str], lead: int) -> Any:
    """Return the hard points with every coordinate moving along an axis of its own."""
    count = 3 * len(names)
    ways = np.eye(count).reshape((count, count) + (1,) * lead)
    changes = {}
    for k, name in enumerate(names):
        place = np.asarray(getattr(hard, name), dtype=np.float64)
        changes[name] = Vec(
            *(
                Jet(place[..., i], ways[3 * k + i], np.zeros_like(ways[3 * k + i]))
                for i in range(3)
            )
        )
    return replace(hard, **changes)


def _push(
    vehicle: Vehicle,
    answer: Answer,
    corner: int,
    held: CornerState,
    turned: CornerState,
) -> dict[int, Array]:
    """Return ∂g/∂p by the places in g: held is (0, 1), turned is (1, 1)."""
    still = answer.at.corners[corner]  # (1, 0)
    t = 3 + corner
    gradient = {
        0: np.asarray(held.part.zt),
        1: held.part.ut,
        2: held.part.vt,
        t: 0.5 * (turned.part.tt - still.part.tt - held.part.tt),
    }
    moved, rising = slope(held.rise), slope(still.rise)
    mixed = 0.5 * (
        curvature(turned.rise) - curvature(still.rise) - curvature(held.rise)
    )
    for joined in vehicle.joined:
        if corner not in (joined.left, joined.right):
            continue
        ends = [answer.at.corners[end].rise for end in (joined.left, joined.right)]
        push = joined.bar.push(*(_known(end) for end in ends))
        left = corner == joined.left
        other = joined.right if left else joined.left
        force = push.left if left else push.right
        gradient[t] = gradient[t] + force * mixed + push.rate * rising * moved
        across = -push.rate * slope(answer.at.corners[other].rise) * moved
        gradient[3 + other] = gradient.get(3 + other, 0.0) + across
    return gradient


def _known(rise: Number) -> Array:
    """Return a rise, nought for that of a car that does not stand."""
    return np.asarray(np.nan_to_num(value(rise)))
