"""All outputs of a corner over its travel."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from splinewise.core.jet import slope, value
from splinewise.core.linkages.base import Linkage, Pose, solve
from splinewise.core.linkages.outputs import (
    camber,
    caster,
    inclination,
    roll_centre_height,
    scrub_radius,
    toe,
    trail,
)
from splinewise.core.quantities import Array

__all__ = ["Travel", "travel"]

# Angles at once: arrays of this size stay in a processor's cache between two steps.
_BLOCK = 16384


@dataclass(frozen=True, slots=True, eq=False)
class Travel:
    """All outputs of one corner over a row of arm angles.

    Attributes
    ----------
    angle : ndarray, shape (...)
        Arm angle. [rad]
    rise : ndarray, shape (...)
        Rise of the contact point since the drawn position. [m]
    contact : ndarray, shape (..., 3)
        Contact point. [m]
    rise_slope : ndarray, shape (...)
        Rise of the contact point per arm angle. [m/rad]
    twist : ndarray, shape (...)
        Turn of the bar's arm end since the drawn position. [rad]
    motion_ratio : ndarray, shape (...)
        Turn of the bar per rise of the wheel. [rad/m]
    camber, caster, inclination, toe : ndarray or None, shape (...)
        Wheel and steering angles. [rad]
    scrub_radius, trail, track_change : ndarray or None, shape (...)
        Steering offsets at the ground; outward movement of the contact point. [m]
    roll_centre_height : ndarray or None, shape (...)
        Height of the roll centre above the ground. [m]
    damper : ndarray or None, shape (...)
        Length between the damper's bolts. [m]
    damper_ratio : ndarray or None, shape (...)
        Shortening of the damper per rise of the wheel. [1]
    """

    angle: Array
    rise: Array
    contact: Array
    rise_slope: Array
    twist: Array
    motion_ratio: Array
    camber: Array | None
    caster: Array | None
    inclination: Array | None
    toe: Array | None
    scrub_radius: Array | None
    trail: Array | None
    track_change: Array
    roll_centre_height: Array | None
    damper: Array | None
    damper_ratio: Array | None


def travel(linkage: Linkage, angle: ArrayLike, *, rack: ArrayLike = 0.0) -> Travel:
    """Return all outputs of a corner over arm angles.

    Many angles of one corner are taken a block at a time, so that what is worked out
    on the way stays small and only the outputs grow with their number.

    Parameters
    ----------
    linkage : Linkage
        The corner. [m]
    angle : array_like, shape (...)
        Arm angles. [rad]
    rack : array_like, shape (...), default 0
        Movement of the inner track-rod joint to the left. [m]

    Returns
    -------
    Travel, shape (...)
        The outputs; NaN where the linkage cannot be assembled, save for what the
        bar's own arm tells. [m]
    """
    theta = np.asarray(angle, dtype=np.float64)
    shift = np.asarray(rack, dtype=np.float64)
    if shift.ndim:
        theta, shift = np.broadcast_arrays(theta, shift)
    drawn = linkage.pose(np.zeros(()))
    # Leading axes along which the corner's own numbers do not vary can be cut.
    free = theta.ndim - _axes(drawn)
    lead, within = theta.shape[: max(free, 0)], theta.shape[max(free, 0) :]
    within = (1,) * -free + within
    many = math.prod(lead)
    rows = theta.reshape(many, *within)
    shifts = shift.reshape(many, *within) if shift.ndim else None
    step = max(_BLOCK // max(math.prod(within), 1), 1)

    if many > step:
        _keep_memory()
    out: dict[str, Array] = {}
    for start in range(0, max(many, 1), step):
        cut = slice(start, start + step)
        moved = shift if shifts is None else shifts[cut]
        pose = solve(linkage, rows[cut], rack=moved, order=1)
        with np.errstate(invalid="ignore", divide="ignore"):
            part = _outputs(pose, drawn, linkage.outboard)
        out = out or _room(part, many)
        for name, piece in part.items():
            out[name][cut] = piece

    whole = {name: a.reshape(lead + a.shape[1:]) for name, a in out.items()}
    return Travel(
        angle=theta,
        rise=whole["rise"],
        contact=whole["contact"],
        rise_slope=whole["rise_slope"],
        twist=whole["twist"],
        motion_ratio=whole["motion_ratio"],
        camber=whole.get("camber"),
        caster=whole.get("caster"),
        inclination=whole.get("inclination"),
        toe=whole.get("toe"),
        scrub_radius=whole.get("scrub_radius"),
        trail=whole.get("trail"),
        track_change=whole["track_change"],
        roll_centre_height=whole.get("roll_centre_height"),
        damper=whole.get("damper"),
        damper_ratio=whole.get("damper_ratio"),
    )


def _axes(pose: Pose) -> int:
    """Return how many axes the numbers of a corner have."""
    contact = pose.contact
    numbers = (contact.x, contact.y, contact.z, pose.damper)
    return max(value(x).ndim for x in numbers if x is not None)


def _room(part: dict[str, Array], many: int) -> dict[str, Array]:
    """Return room for all rows of the outputs, of which `part` is a block."""
    shape = np.broadcast_shapes(*(piece.shape for piece in part.values()))
    # One array for all: the system hands out one large piece faster than many.
    block = np.empty((len(part), many, *shape[1:]))
    room = dict(zip(part, block, strict=True))
    return room | {"contact": np.moveaxis(block[:3], 0, -1)}


def _keep_memory() -> None:
    """Ask the allocator to keep what each block gives back for the next one.

    The C library of Linux returns freed memory to the system at once, and has it
    cleared again page by page for the next block, until it has seen a large array
    freed.  That costs more than the mathematics; elsewhere this does nothing.
    """
    np.empty(64 * _BLOCK)


def _outputs(pose: Pose, drawn: Pose, side: float) -> dict[str, Array]:
    """Return the outputs by name, the contact point's as x, y and z."""
    contact = pose.contact.still
    rise_slope = slope(pose.contact.z)
    per_rise = 1.0 / rise_slope
    # The contact point comes first: `_room` takes its three rows for one output.
    out = {
        "x": contact.x,
        "y": contact.y,
        "z": contact.z,
        "rise": contact.z - drawn.contact.z,
        "rise_slope": rise_slope,
        "twist": pose.twist,
        "motion_ratio": slope(pose.twist) * per_rise,
        "track_change": (contact.y - drawn.contact.y) * side,
    }
    if pose.spindle is not None:
        spindle = pose.spindle.still
        out |= {"camber": camber(spindle), "toe": toe(spindle, side)}
    if pose.steering is not None:
        steering = (pose.steering[0].still, pose.steering[1].still)
        out |= {
            "caster": caster(steering),
            "inclination": inclination(steering, side),
            "scrub_radius": scrub_radius(steering, contact, side),
            "trail": trail(steering, contact),
            "roll_centre_height": roll_centre_height(pose.contact),
        }
    if pose.damper is not None:
        out["damper"] = pose.damper
        out["damper_ratio"] = slope(pose.damper) * -per_rise
    return {name: value(x) for name, x in out.items()}
