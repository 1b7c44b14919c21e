"""What a pose says: wheel angles, steering geometry, ratios, roll centre.

Signs follow ISO 8855 as the workshop uses them: camber positive top out, caster
positive top rearward, toe positive toe-in, steering-axis inclination positive top
inboard; scrub radius positive if the steering axis meets the ground inboard of the
contact point, trail positive if it meets the ground ahead of it.
"""

from __future__ import annotations

from splinewise.core.geometry import Vec
from splinewise.core.jet import Number, arcsin, arctan2, slope, value
from splinewise.core.quantities import Array

__all__ = [
    "camber",
    "caster",
    "inclination",
    "roll_centre_height",
    "scrub_radius",
    "toe",
    "trail",
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
