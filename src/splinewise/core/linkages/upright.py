"""What a corner is built from: pairs of points, and on which side a rod is."""

from __future__ import annotations

import numpy as np

from splinewise.core.arm import Arm, Span
from splinewise.core.geometry import Vec, cross, dot, length, vec
from splinewise.core.jet import value
from splinewise.core.quantities import Array, refuse_where
from splinewise.errors import QuantityError

__all__ = ["damper_span", "pair", "rod_side"]

# Volume over that of a box; nearer, rounding would choose the side.
_DEAD_CENTRE = 1e-6


def pair(
    first: Array | None, second: Array | None, names: tuple[str, str]
) -> tuple[Vec, Vec] | None:
    """Return two points that are of use together only.

    Parameters
    ----------
    first, second : ndarray or None, shape (..., 3)
        The points; None where they are not known. [m]
    names : tuple of str
        What they are, for the error. [1]

    Returns
    -------
    tuple of Vec or None, shape (...)
        Both; None where neither is known. [m]

    Raises
    ------
    QuantityError
        If only one of the two is known.
    """
    if first is None and second is None:
        return None
    if first is None or second is None:
        lost, known = names if first is None else names[::-1]
        raise QuantityError(lost, np.nan, "m", f"given too, since {known} is")
    return vec(first, names[0]), vec(second, names[1])


def damper_span(arm: Arm, body: Array | None, end: Array | None) -> Span | None:
    """Return the damper's length as its arm turns, if its bolts are known.

    Parameters
    ----------
    arm : Arm, shape (...)
        The arm that carries it. [m]
    body, end : ndarray or None, shape (..., 3)
        Its bolts on the body and on the arm. [m]

    Returns
    -------
    Span or None, shape (...)
        The length between the bolts. [m]

    Raises
    ------
    QuantityError
        If only one of the two is known.
    """
    bolts = pair(body, end, ("damper_body", "damper_arm"))
    return None if bolts is None else arm.span(*bolts)


def rod_side(edge: Vec, inner: Vec, outer: Vec) -> Array:
    """Return on which side of two upright joints and the inner joint the rod is.

    Parameters
    ----------
    edge, inner, outer : Vec, shape (...)
        From the one upright joint to the other, to the inner and to the outer joint
        of the track rod. [m]

    Returns
    -------
    ndarray, shape (...)
        +1 if the outer joint is on the side of edge × inner, −1 if not. [1]

    Raises
    ------
    QuantityError
        If the four joints lie in one plane, so that either side would do.
    """
    off = value(dot(outer, cross(edge, inner)))
    size = value(length(edge) * length(inner) * length(outer))
    askew = off / np.where(size > 0.0, size, 1.0)
    refuse_where(
        ~(np.abs(askew) > _DEAD_CENTRE),
        "rod_outer",
        askew,
        "of its reach",
        "off the plane of both upright joints and the inner joint",
    )
    return np.where(off < 0.0, -1.0, 1.0)
