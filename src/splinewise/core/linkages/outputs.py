"""What a pose says: wheel angles, steering geometry, ratios, roll centre.

Signs follow ISO 8855 as the workshop uses them: camber positive top out, caster
positive top rearward, toe positive toe-in, steering-axis inclination positive top
inboard; scrub radius positive if the steering axis meets the ground inboard of the
contact point, trail positive if it meets the ground ahead of it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from splinewise.core.geometry import Vec
from splinewise.core.jet import Number, arcsin, arctan2, slope, value
from splinewise.core.linkages.base import Linkage, Pose, solve
from splinewise.core.quantities import Array

__all__ = [
    "Travel",
    "camber",
    "caster",
    "inclination",
    "roll_centre_height",
    "scrub_radius",
    "toe",
    "trail",
    "travel",
]


def camber(spindle: Vec) -> Number:
    """Lean of the wheel, −asin of the outboard spindle's rise.

    Parameters
    ----------
    spindle : Vec, shape (...)
        Unit vector along the wheel's axis, outboard. [1]

    Returns
    -------
    Jet or ndarray, shape (...)
        Camber, positive top out. [rad]
    """
    return -arcsin(spindle.z)


def toe(spindle: Vec, outboard: float) -> Number:
    """Angle of the wheel plane to the vehicle's length.

    Parameters
    ----------
    spindle : Vec, shape (...)
        Unit vector along the wheel's axis, outboard. [1]
    outboard : float, shape ()
        +1 on the left, −1 on the right. [1]

    Returns
    -------
    Jet or ndarray, shape (...)
        Toe, positive toe-in. [rad]
    """
    return arctan2(spindle.x, spindle.y * outboard)


def caster(steering: tuple[Vec, Vec]) -> Number:
    """Side-view lean of the steering axis.

    Parameters
    ----------
    steering : tuple of Vec, shape (...)
        A low and a high point of the axis. [m]

    Returns
    -------
    Jet or ndarray, shape (...)
        Caster, positive top rearward. [rad]
    """
    low, high = steering
    return arctan2(low.x - high.x, high.z - low.z)


def inclination(steering: tuple[Vec, Vec], outboard: float) -> Number:
    """Front-view lean of the steering axis.

    Parameters
    ----------
    steering : tuple of Vec, shape (...)
        A low and a high point of the axis. [m]
    outboard : float, shape ()
        +1 on the left, −1 on the right. [1]

    Returns
    -------
    Jet or ndarray, shape (...)
        Steering-axis inclination, positive top inboard. [rad]
    """
    low, high = steering
    return arctan2((low.y - high.y) * outboard, high.z - low.z)


def _meets_ground(steering: tuple[Vec, Vec], ground: Number) -> tuple[Number, Number]:
    """Return x and y where the steering axis meets the height `ground`."""
    low, high = steering
    share = (ground - low.z) / (high.z - low.z)
    return low.x + (high.x - low.x) * share, low.y + (high.y - low.y) * share


def scrub_radius(steering: tuple[Vec, Vec], contact: Vec, outboard: float) -> Number:
    """Distance in front view from the axis to the contact point, at the ground.

    Parameters
    ----------
    steering : tuple of Vec, shape (...)
        A low and a high point of the axis. [m]
    contact : Vec, shape (...)
        Contact point. [m]
    outboard : float, shape ()
        +1 on the left, −1 on the right. [1]

    Returns
    -------
    Jet or ndarray, shape (...)
        Scrub radius, positive if the axis meets the ground inboard. [m]
    """
    _, y = _meets_ground(steering, contact.z)
    return (contact.y - y) * outboard


def trail(steering: tuple[Vec, Vec], contact: Vec) -> Number:
    """Distance in side view from the contact point to the axis, at the ground.

    Parameters
    ----------
    steering : tuple of Vec, shape (...)
        A low and a high point of the axis. [m]
    contact : Vec, shape (...)
        Contact point. [m]

    Returns
    -------
    Jet or ndarray, shape (...)
        Trail, positive if the axis meets the ground ahead. [m]
    """
    x, _ = _meets_ground(steering, contact.z)
    return x - contact.x


def roll_centre_height(contact: Vec) -> Array:
    """Height above the ground of the geometric roll centre, y·(dy/dz).

    The contact point moves at right angles to the line from it to the roll centre
    in the vehicle's middle plane (front-view instant centre, both sides alike; own
    derivation).  It needs a pose with slopes.

    Parameters
    ----------
    contact : Vec of Jet, shape (...)
        Contact point, differentiated by arm angle. [m]

    Returns
    -------
    ndarray, shape (...)
        Height of the roll centre. [m]
    """
    return value(contact.y) * slope(contact.y) / slope(contact.z)


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


def travel(linkage: Linkage, angle: Array | float, *, rack: Number = 0.0) -> Travel:
    """Return all outputs of a corner over arm angles.

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
        The outputs; NaN where the linkage cannot be assembled. [m]
    """
    theta = np.asarray(angle, dtype=np.float64)
    pose = solve(linkage, theta, rack=rack)
    drawn = linkage.pose(np.zeros(()))
    side = linkage.outboard
    with np.errstate(invalid="ignore", divide="ignore"):
        return _outputs(pose, drawn, theta, side)


def _outputs(pose: Pose, drawn: Pose, theta: Array, side: float) -> Travel:
    contact, spindle, steering = pose.contact, pose.spindle, pose.steering
    rise_slope = slope(contact.z)
    steered = steering is not None
    return Travel(
        angle=theta,
        rise=value(contact.z) - value(drawn.contact.z),
        contact=contact.array,
        rise_slope=rise_slope,
        twist=value(pose.twist),
        motion_ratio=slope(pose.twist) / rise_slope,
        camber=None if spindle is None else value(camber(spindle)),
        toe=None if spindle is None else value(toe(spindle, side)),
        caster=value(caster(steering)) if steering is not None else None,
        inclination=(
            value(inclination(steering, side)) if steering is not None else None
        ),
        scrub_radius=(
            value(scrub_radius(steering, contact, side))
            if steering is not None
            else None
        ),
        trail=value(trail(steering, contact)) if steering is not None else None,
        track_change=(value(contact.y) - value(drawn.contact.y)) * side,
        roll_centre_height=roll_centre_height(contact) if steered else None,
        damper=None if pose.damper is None else value(pose.damper),
        damper_ratio=(
            None if pose.damper is None else -slope(pose.damper) / rise_slope
        ),
    )
