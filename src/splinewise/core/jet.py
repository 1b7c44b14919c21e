"""Numbers that carry their slope and curvature along one path.

A `Jet` is a value together with its first and second derivative by one parameter
(an arm angle, a hard point's height, a rate).  Arithmetic on jets follows the chain
rule exactly, so a linkage is written once and gives positions, velocities and
accelerations with no differences taken.  All functions here accept plain arrays
too and then cost no more than NumPy's own.

References
----------
.. [1] A. Griewank and A. Walther, *Evaluating Derivatives*, 2nd ed., SIAM 2008,
   chapter 13 (propagating Taylor series).  From memory.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np

from splinewise.core.quantities import Array

__all__ = [
    "UNMOVED",
    "Jet",
    "Number",
    "arccos",
    "arcsin",
    "arctan2",
    "cos",
    "curvature",
    "implicit",
    "mix",
    "seed",
    "sin",
    "sincos",
    "slope",
    "sqrt",
    "square",
    "still",
    "value",
]


# Not frozen: that would treble the time to make one, and a pose makes a hundred.
@dataclass(slots=True, eq=False)
class Jet:
    """A value with its first and second derivative by one parameter.

    Its parts are never changed once it is made.

    Attributes
    ----------
    v : ndarray, shape (...)
        Value. [unit]
    d : ndarray, shape (...)
        First derivative. [unit/parameter]
    dd : ndarray, shape (...) or None
        Second derivative; None if the jet carries only the first. [unit/parameter²]
    """

    v: Array
    d: Array
    dd: Array | None = None

    # NumPy must hand `array * jet` to the jet rather than loop over it.
    __array_ufunc__ = None

    def __add__(self, other: Number) -> Jet:
        if isinstance(other, Jet):
            dd = None
            if self.dd is not None and other.dd is not None:
                dd = self.dd + other.dd
            return Jet(self.v + other.v, self.d + other.d, dd)
        return Jet(self.v + other, self.d, self.dd)

    __radd__ = __add__

    def __neg__(self) -> Jet:
        return Jet(-self.v, -self.d, None if self.dd is None else -self.dd)

    def __sub__(self, other: Number) -> Jet:
        if isinstance(other, Jet):
            dd = None
            if self.dd is not None and other.dd is not None:
                dd = self.dd - other.dd
            return Jet(self.v - other.v, self.d - other.d, dd)
        return Jet(self.v - other, self.d, self.dd)

    def __rsub__(self, other: Array | float) -> Jet:
        return Jet(other - self.v, -self.d, None if self.dd is None else -self.dd)

    def __mul__(self, other: Number) -> Jet:
        if isinstance(other, Jet):
            dd = None
            if self.dd is not None and other.dd is not None:
                dd = self.v * other.dd + 2.0 * (self.d * other.d) + self.dd * other.v
            return Jet(self.v * other.v, self.v * other.d + self.d * other.v, dd)
        dd = None if self.dd is None else self.dd * other
        return Jet(self.v * other, self.d * other, dd)

    __rmul__ = __mul__

    def __truediv__(self, other: Number) -> Jet:
        if isinstance(other, Jet):
            return self * _reciprocal(other)
        return self * (1.0 / other)

    def __rtruediv__(self, other: Array | float) -> Jet:
        return _reciprocal(self) * other


Number = Jet | Array | float
# Known by identity, so that terms with it can be left out; it works as nought too.
UNMOVED: float = float("0")

Rates = Callable[
    [Sequence[Number], Sequence[Number], Sequence[Number]], Sequence[Number]
]


def _chain(x: Jet, f: Array, df: Array, ddf: Callable[[], Array]) -> Jet:
    """Carry x through a function of value f and derivatives df, ddf at x.v."""
    dd = None if x.dd is None else df * x.dd + ddf() * (x.d * x.d)
    return Jet(f, df * x.d, dd)


def _reciprocal(x: Jet) -> Jet:
    r = 1.0 / x.v
    df = -r * r
    return _chain(x, r, df, lambda: -2.0 * df * r)


def mix(
    *products: tuple[Number, Number],
    plus: Number | None = None,
    less: Sequence[tuple[Number, Number]] = (),
) -> Number:
    """Sum of products, a b + c d + …: the one sum that geometry is made of.

    It gives what `a * b + c * d` gives, but gathers each sum in one array, which
    stays in the processor's cache, instead of making a new one at every step.

    Parameters
    ----------
    products : tuple of Jet or array_like, shape (...)
        Pairs to multiply and add. [unit]
    plus : Jet, array_like or None, shape (...)
        What to add besides. [unit]
    less : sequence of tuple of Jet or array_like, shape (...)
        Pairs to multiply and subtract. [unit]

    Returns
    -------
    Jet or ndarray, shape (...)
        The sum. [unit]
    """
    v: Array | None = None
    d: Array | None = None
    dd: Array | None = None
    bends = True
    for gather, pairs in ((_more, products), (_fewer, less)):
        for one, other in pairs:
            a, b = (one, other) if isinstance(one, Jet) else (other, one)
            if not isinstance(a, Jet):
                v = gather(v, still(a) * still(b))
            elif not isinstance(b, Jet):
                v = gather(v, a.v * b)
                d = gather(d, a.d * b)
                if a.dd is None:
                    bends = False
                elif bends:
                    dd = gather(dd, a.dd * b)
            else:
                v = gather(v, a.v * b.v)
                d = gather(gather(d, a.v * b.d), a.d * b.v)
                if a.dd is None or b.dd is None:
                    bends = False
                elif bends:
                    dd = gather(gather(dd, a.v * b.dd), a.dd * b.v)
                    dd = gather(dd, 2.0 * (a.d * b.d))
    if isinstance(plus, Jet):
        v = _more(v, plus.v)
        d = _more(d, plus.d)
        if plus.dd is None:
            bends = False
        elif bends:
            dd = _more(dd, plus.dd)
    elif plus is not None:
        v = _more(v, still(plus))
    if v is None:
        return 0.0
    return v if d is None else Jet(v, d, dd if bends else None)


def _more(total: Array | None, term: Array) -> Array:
    """Add to a sum, in its own memory if the term fits it; the sum must be ours."""
    if total is None:
        return term
    try:
        total += term
    except (ValueError, TypeError):
        total = total + term
    return total


def _fewer(total: Array | None, term: Array) -> Array:
    """Subtract from a sum likewise."""
    if total is None:
        return -term
    try:
        total -= term
    except (ValueError, TypeError):
        total = total - term
    return total


def seed(parameter: Array | float, *, order: int = 2) -> Jet:
    """Return the parameter itself as a jet: slope 1, curvature 0.

    Parameters
    ----------
    parameter : array_like, shape (...)
        The number by which everything will be differentiated. [unit]
    order : int, shape ()
        Highest derivative to carry, 1 or 2. [1]

    Returns
    -------
    Jet, shape (...)
        The parameter. [unit]

    Raises
    ------
    ValueError
        If the order is neither.
    """
    if order not in (1, 2):
        msg = f"order must be 1 or 2; got {order}"
        raise ValueError(msg)
    v = np.asarray(parameter, dtype=np.float64)
    return Jet(v, np.ones_like(v), np.zeros_like(v) if order == 2 else None)


def value(x: Number) -> Array:
    """Return the value of a jet, or the number itself.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Any number. [unit]

    Returns
    -------
    ndarray, shape (...)
        Its value. [unit]
    """
    return np.asarray(x.v if isinstance(x, Jet) else x, dtype=np.float64)


def still(x: Number) -> Array:
    """Return the value of a jet, or the number itself just as it is.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Any number, of any floating type. [unit]

    Returns
    -------
    ndarray, shape (...)
        Its value. [unit]
    """
    # A float does its sums as an array would.
    return x.v if isinstance(x, Jet) else cast(Array, x)


def slope(x: Number) -> Array:
    """Return the first derivative; zero for a number that carries none.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Any number. [unit]

    Returns
    -------
    ndarray, shape (...)
        Its first derivative. [unit/parameter]
    """
    return np.asarray(x.d, dtype=np.float64) if isinstance(x, Jet) else np.zeros(())


def curvature(x: Number) -> Array:
    """Return the second derivative; zero for a number that carries none.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Any number. [unit]

    Returns
    -------
    ndarray, shape (...)
        Its second derivative. [unit/parameter²]

    Raises
    ------
    ValueError
        If the jet was seeded to carry the first derivative only.
    """
    if not isinstance(x, Jet):
        return np.zeros(())
    if x.dd is None:
        msg = "this jet carries a slope only; seed it with order=2"
        raise ValueError(msg)
    return np.asarray(x.dd, dtype=np.float64)


def implicit(
    found: Sequence[Array], rates: Rates, inputs: Sequence[Number]
) -> list[Number]:
    """Give numbers found by some closed form the derivatives that their inputs ask.

    The form itself is not differentiated.  The equations that it solves are linear in
    the rates of the numbers, so their rates cost far less; and the same expression
    for the rates, worked out on jets, gives the second derivatives.

    Parameters
    ----------
    found : sequence of ndarray, shape (...)
        Values of the numbers. [unit]
    rates : callable
        ``rates(numbers, inputs, input_rates)`` returns the numbers' rates of change;
        an input that does not change comes with `UNMOVED`, which is nought, as its rate.
    inputs : sequence of Jet or array_like, shape (...)
        What the numbers were found from. [unit]

    Returns
    -------
    list of Jet or ndarray, shape (...)
        The numbers, as jets if an input is one. [unit]
    """
    jets = [x for x in inputs if isinstance(x, Jet)]
    if not jets:
        return list(found)
    at: list[Number] = [still(x) for x in inputs]
    change: list[Number] = [x.d if isinstance(x, Jet) else UNMOVED for x in inputs]
    rate = rates(found, at, change)
    first: list[Number] = [Jet(v, value(d)) for v, d in zip(found, rate, strict=True)]
    if any(x.dd is None for x in jets):
        return first
    at = [Jet(x.v, x.d) if isinstance(x, Jet) else x for x in inputs]
    change = [Jet(x.d, curvature(x)) if isinstance(x, Jet) else UNMOVED for x in inputs]
    rate = rates(first, at, change)
    return [
        Jet(v, slope(x), slope(r)) for v, x, r in zip(found, first, rate, strict=True)
    ]


def square(x: Number) -> Number:
    """Square; cheaper than the product of a jet with itself.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Any number. [unit]

    Returns
    -------
    Jet or ndarray, shape (...)
        Its square. [unit²]
    """
    if not isinstance(x, Jet):
        return np.square(x)
    df = x.v + x.v
    dd = None if x.dd is None else df * x.dd + 2.0 * (x.d * x.d)
    return Jet(x.v * x.v, df * x.d, dd)


def sqrt(x: Number) -> Number:
    """Square root; NaN below zero, so that an unreachable pose shows itself.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Any number. [unit²]

    Returns
    -------
    Jet or ndarray, shape (...)
        Its square root. [unit]
    """
    if not isinstance(x, Jet):
        return np.sqrt(x)
    f = np.sqrt(x.v)
    df = 0.5 / f
    return _chain(x, f, df, lambda: -0.5 * df / x.v)


def sin(x: Number) -> Number:
    """Sine.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Angle. [rad]

    Returns
    -------
    Jet or ndarray, shape (...)
        Its sine. [1]
    """
    return sincos(x)[0] if isinstance(x, Jet) else np.sin(x)


def cos(x: Number) -> Number:
    """Cosine.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Angle. [rad]

    Returns
    -------
    Jet or ndarray, shape (...)
        Its cosine. [1]
    """
    return sincos(x)[1] if isinstance(x, Jet) else np.cos(x)


def sincos(x: Number) -> tuple[Number, Number]:
    """Sine and cosine, each of which is also the other's derivative.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Angle. [rad]

    Returns
    -------
    tuple of Jet or ndarray, shape (...)
        Its sine and its cosine. [1]
    """
    if not isinstance(x, Jet):
        return np.sin(x), np.cos(x)
    s, c = np.sin(x.v), np.cos(x.v)
    return _chain(x, s, c, lambda: -s), _chain(x, c, -s, lambda: -c)


def arcsin(x: Number) -> Number:
    """Angle whose sine is x; NaN outside −1..1.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Sine. [1]

    Returns
    -------
    Jet or ndarray, shape (...)
        Angle from −π/2 to π/2. [rad]
    """
    if not isinstance(x, Jet):
        return np.arcsin(x)
    df = 1.0 / np.sqrt(1.0 - x.v * x.v)
    return _chain(x, np.arcsin(x.v), df, lambda: x.v * df * df * df)


def arccos(x: Number) -> Number:
    """Angle whose cosine is x; NaN outside −1..1.

    Parameters
    ----------
    x : Jet or array_like, shape (...)
        Cosine. [1]

    Returns
    -------
    Jet or ndarray, shape (...)
        Angle from 0 to π. [rad]
    """
    return 0.5 * np.pi - arcsin(x)


def arctan2(y: Number, x: Number) -> Number:
    """Angle of the direction (x, y).

    Parameters
    ----------
    y, x : Jet or array_like, shape (...)
        Components of the direction. [unit]

    Returns
    -------
    Jet or ndarray, shape (...)
        Angle from −π to π. [rad]
    """
    if not isinstance(y, Jet) and not isinstance(x, Jet):
        return np.arctan2(y, x)
    y_v, y_d, y_dd = _parts(y)
    x_v, x_d, x_dd = _parts(x)
    r = 1.0 / (x_v * x_v + y_v * y_v)
    d = (x_v * y_d - y_v * x_d) * r
    dd = None
    if y_dd is not None and x_dd is not None:
        # The growth of r² turns the rate of the cross product into an acceleration.
        dd = (x_v * y_dd - y_v * x_dd) * r - 2.0 * d * (x_v * x_d + y_v * y_d) * r
    return Jet(np.arctan2(y_v, x_v), d, dd)


def _parts(x: Number) -> tuple[Array, Array, Array | None]:
    if isinstance(x, Jet):
        return x.v, x.d, x.dd
    return np.asarray(x, dtype=np.float64), _ZERO, _ZERO


_ZERO = np.zeros(())
