"""Sums of products, and numbers known only by the equations that they solve."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from splinewise.core.jet.number import Jet, Number, curvature, slope, still, value
from splinewise.core.quantities import Array

__all__ = ["UNMOVED", "implicit", "mix"]

# Known by identity, so that terms with it can be left out; it works as nought too.
UNMOVED: float = float("0")

Rates = Callable[
    [Sequence[Number], Sequence[Number], Sequence[Number]], Sequence[Number]
]


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
