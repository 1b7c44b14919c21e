"""Text as people write it, made into SI numbers; the only door for units.

`read` takes one quantity of one kind, `read_any` of several.  Nothing is assumed: a
number without a unit, or one that can be read in two ways, is refused with what
would do.  `scale` and `mixed` serve those who write numbers out again.
"""

from splinewise.units.reading import Quantity, read, read_any
from splinewise.units.table import KINDS, scale
from splinewise.units.tape import mixed

__all__ = ["KINDS", "Quantity", "mixed", "read", "read_any", "scale"]
