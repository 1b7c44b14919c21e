"""How much an arm twists a bar that does not lie on the arm's axis.

The bar's end is held in the arm and leans with it; its anchor stays.  A slender bar
that is equally stiff in all directions bends by the shortest way from its own
direction b to the leaned one R b, and what the arm's turn R holds beyond that is
twist.  With a the arm's axis and θ its angle, R is the quaternion
(cos θ/2, a sin θ/2), whose part about b gives

    τ = 2 atan2(a·b sin θ/2, cos θ/2)

(own derivation: the split of a turn into a swing and a twist).  Per small angle it
is a·b, the component of the turn about the bar; a link across both axes, looked at
along the bar, shows the same angle but for (a·b)(1 − (a·b)²) θ³/4.  What the bending
itself stores is left out.
"""

from __future__ import annotations

import numpy as np

from splinewise.core.arm import Arm
from splinewise.core.geometry import Vec, dot, length, unit
from splinewise.core.jet import Number, arctan2, cos, sin, value
from splinewise.core.quantities import refuse_where

__all__ = ["alignment", "arm_turn", "carried_twist"]


def alignment(arm: Arm, arm_end: Vec, anchor_end: Vec) -> Number:
    """Return the component of an arm's turn about a bar, a·b, made positive.

    The bar has no front of its own: b is taken in the sense in which bump twists it
    positively.

    Parameters
    ----------
    arm : Arm, shape (...)
        The arm that holds the bar's end. [m]
    arm_end, anchor_end : Vec, shape (...)
        Points of the bar's axis at the drawn position. [m]

    Returns
    -------
    Jet or ndarray, shape (...)
        Cosine of the angle between the two axes, above 0 and at most 1. [1]

    Raises
    ------
    QuantityError
        If the two points are one, or if the bar lies square to the arm's axis and so
        is not twisted at all.
    """
    bar = arm_end - anchor_end
    apart = value(length(bar))
    refuse_where(apart <= 0.0, "bar_anchor_end", apart, "m", "apart from bar_arm_end")
    along = dot(arm.axis, unit(bar))
    cosine = np.abs(value(along))
    refuse_where(
        cosine < 1e-9,
        "bar_anchor_end",
        cosine,
        "as the cosine of bar to arm axis",
        "where the arm twists the bar (not square to the arm's axis)",
    )
    return along * np.where(value(along) < 0.0, -1.0, 1.0)


def carried_twist(aligned: Number, angle: Number) -> Number:
    """Twist that an arm carries into a bar, τ = 2 atan2(a·b sin θ/2, cos θ/2).

    Parameters
    ----------
    aligned : Jet or ndarray, shape (...)
        Cosine of the angle between the axes, a·b; see `alignment`. [1]
    angle : Jet or array_like, shape (...)
        Arm angle, θ. [rad]

    Returns
    -------
    Jet or ndarray, shape (...)
        Turn of the bar's arm end about the bar, τ. [rad]
    """
    half = 0.5 * angle
    return 2.0 * arctan2(sin(half) * aligned, cos(half))


def arm_turn(aligned: Number, twist: Number) -> Number:
    """Arm angle at which a bar has a twist, the inverse of `carried_twist`.

    Parameters
    ----------
    aligned : Jet or ndarray, shape (...)
        Cosine of the angle between the axes, a·b. [1]
    twist : Jet or array_like, shape (...)
        Turn of the bar's arm end about the bar, τ. [rad]

    Returns
    -------
    Jet or ndarray, shape (...)
        Arm angle, θ. [rad]
    """
    half = 0.5 * twist
    return 2.0 * arctan2(sin(half), cos(half) * aligned)
