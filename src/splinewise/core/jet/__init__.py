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

from splinewise.core.jet.functions import (
    arccos,
    arcsin,
    arctan2,
    cos,
    sin,
    sincos,
    sqrt,
    square,
)
from splinewise.core.jet.number import (
    Jet,
    Number,
    curvature,
    seed,
    slope,
    still,
    value,
)
from splinewise.core.jet.sums import UNMOVED, implicit, mix

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
