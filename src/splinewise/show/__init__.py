"""Numbers in SI, written in the user's units with no more digits than they deserve.

The rule, everywhere here:

* With a doubt, the doubt is given to one significant digit, or to two if the first is
  a 1, and the value to the same place.  (JCGM 100:2008, 7.2.6, asks for at most two
  digits of a doubt and for a value rounded to match it; the choice between one and two
  is ours.)
* Without one, a length has a stated last place, an angle two places, and the rest a
  stated number of significant digits: see each function.
* Halves go to the even digit.  The minus sign is −, and nothing is ever −0.

What is written here, a doubt with it, can be read again by `splinewise.units`, save
for the words and brackets of an inch length.
"""

from splinewise.show.amounts import (
    angular_rate,
    change,
    energy,
    force,
    frequency,
    linear_rate,
    mass,
    percent,
    stress,
    torque,
)
from splinewise.show.figures import System
from splinewise.show.lengths import angle, length, tape

__all__ = [
    "System",
    "angle",
    "angular_rate",
    "change",
    "energy",
    "force",
    "frequency",
    "length",
    "linear_rate",
    "mass",
    "percent",
    "stress",
    "tape",
    "torque",
]
