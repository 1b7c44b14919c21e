"""Where circles and spheres meet: what closes a linkage.

Each value comes from a closed form, each derivative from the equations that the form
solves (`splinewise.core.jet.implicit`).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from splinewise.core.geometry.turns import Circle, Turned
from splinewise.core.geometry.vectors import Vec, combine, cross, dot, squared
from splinewise.core.jet import UNMOVED, Number, implicit, mix, sqrt, square, still
from splinewise.core.quantities import Array

__all__ = ["apex", "circle_meets_sphere", "three_spheres", "wave_root"]


def wave_root(
    cosine: Number, sine: Number, total: Number, branch: Array | float
) -> Turned:
    """Turn φ at which a cos φ + b sin φ = k.

    cos φ = (a k − b w)/(a² + b²), sin φ = (b k + a w)/(a² + b²) with
    w = ±√(a² + b² − k²) = a sin φ − b cos φ, and φ' w = a' cos φ + b' sin φ − k'
    (own derivation).  No trigonometric function is called.

    Parameters
    ----------
    cosine, sine, total : Jet or array_like, shape (...)
        a, b and k, in any one unit. [m²]
    branch : array_like, shape (...)
        +1 or −1: the sign of w, which of the two roots. [1]

    Returns
    -------
    Turned, shape (...)
        Sine and cosine of φ; NaN where there is none. [1]
    """
    a, b, k = still(cosine), still(sine), still(total)
    m = a * a + b * b
    w = np.sqrt(m - k * k) * branch
    n = 1.0 / m
    found = (b * k + a * w) * n, (a * k - b * w) * n
    return Turned(*implicit(found, _wave_rates, (cosine, sine, total)))


def _wave_rates(
    found: Sequence[Number], inputs: Sequence[Number], change: Sequence[Number]
) -> Sequence[Number]:
    (s, c), (a, b, _), (da, db, dk) = found, inputs, change
    rate = (mix((da, c), (db, s)) - dk) / mix((a, s), less=[(b, c)])
    return c * rate, -(s * rate)


def circle_meets_sphere(
    circle: Circle, centre: Vec, radius: Number, branch: Array | float
) -> Turned:
    """Turn at which a point on a circle is `radius` away from `centre`.

    |c + p cos φ + q sin φ − s|² = r² is a cos φ + b sin φ = k, with
    a = 2 p·(c − s), b = 2 q·(c − s), k = r² − p² − (c − s)²; `wave_root` does the
    rest (own derivation).

    Parameters
    ----------
    circle : Circle, shape (...)
        Path of the point. [m]
    centre : Vec, shape (...)
        Centre of the sphere, s. [m]
    radius : Jet or array_like, shape (...)
        Its radius, r. [m]
    branch : array_like, shape (...)
        +1 or −1: which of the two roots. [1]

    Returns
    -------
    Turned, shape (...)
        Sine and cosine of φ; NaN where the two do not meet. [1]
    """
    g = circle.centre - centre
    a = 2.0 * dot(circle.start, g)
    b = 2.0 * dot(circle.ahead, g)
    k = square(radius) - squared(circle.start) - squared(g)
    return wave_root(a, b, k, branch)


def apex(
    first: Vec,
    second: Vec,
    distances: tuple[Number, Number, Number],
    branch: Array | float,
) -> Vec:
    """Point at given distances from the origin and from two other points.

    With u and v the two points and t the one that is sought, the distances give
    α = u·t and β = v·t; then t = x u + y v + h n, where n = u × v, x and y solve
    α = x u² + y u·v, β = x u·v + y v², and h² n² = r₀² − α x − β y.  Its rate obeys
    t·t' = r₀ r₀', u·t' = α' − t·u', v·t' = β' − t·v' (own derivation).

    Parameters
    ----------
    first, second : Vec, shape (...)
        u and v, not in one line with the origin. [m]
    distances : tuple of Jet or array_like, shape (...)
        Distance from the origin, from the first and from the second. [m]
    branch : array_like, shape (...)
        +1 for the point on the side of u × v, −1 for the other. [1]

    Returns
    -------
    Vec, shape (...)
        The point; NaN where the three spheres do not meet. [m]
    """
    u, v = first.still, second.still
    rr, to_first, to_second = (still(r) ** 2 for r in distances)
    uu, uv, vv, n = dot(u, u), dot(u, v), dot(v, v), cross(u, v)
    alpha = 0.5 * (rr - to_first + uu)
    beta = 0.5 * (rr - to_second + vv)
    # n² = u² v² − (u·v)², but this way it keeps its digits where u and v are close.
    inverse = 1.0 / dot(n, n)
    x = (alpha * vv - beta * uv) * inverse
    y = (beta * uu - alpha * uv) * inverse
    h = sqrt((rr - alpha * x - beta * y) * inverse) * branch
    t = combine((u, x), (v, y), (n, h))
    inputs = (first.x, first.y, first.z, second.x, second.y, second.z, *distances)
    return Vec(*implicit((still(t.x), still(t.y), still(t.z)), _apex_rates, inputs))


def _apex_rates(
    found: Sequence[Number], inputs: Sequence[Number], change: Sequence[Number]
) -> Sequence[Number]:
    t, u, v = Vec(*found), Vec(*inputs[:3]), Vec(*inputs[3:6])
    du, dv = Vec(*change[:3]), Vec(*change[3:6])
    grow, first, second = (r * dr for r, dr in zip(inputs[6:], change[6:], strict=True))
    along_u = dot(du, u - t) + (grow - first)
    along_v = dot(dv, v - t) + (grow - second)
    vt, tu = cross(v, t), cross(t, u)
    inverse = 1.0 / dot(u, vt)
    terms = [(vt, along_u * inverse), (tu, along_v * inverse)]
    if change[6] is not UNMOVED:
        terms.append((cross(u, v), grow * inverse))
    rate = combine(*terms)
    return rate.x, rate.y, rate.z


def three_spheres(
    a: Vec,
    b: Vec,
    c: Vec,
    distances: tuple[Number, Number, Number],
    branch: Array | float,
) -> Vec:
    """Point at given distances from three points (trilateration); see `apex`.

    Parameters
    ----------
    a, b, c : Vec, shape (...)
        The three centres, not in one line. [m]
    distances : tuple of Jet or array_like, shape (...)
        Distance from each, in the same order. [m]
    branch : array_like, shape (...)
        +1 for the point on the side of (b − a) × (c − a), −1 for the other. [1]

    Returns
    -------
    Vec, shape (...)
        The point; NaN where the spheres do not meet. [m]
    """
    return a + apex(b - a, c - a, distances, branch)
