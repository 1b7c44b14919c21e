"""What manuals say of shims, on an invented linkage of the size that they imply.

Sources
-------
Truck 1983
    GMC, *Sprint-Caballero* service manual 1983, wheel alignment: equal shims of
    1/32 in at both bolts change camber by about 1/5 degree; one 1/32 in shim from the
    rear bolt to the front one takes about 1/2 degree of caster (read at
    myvehicle.help; the page was not seen).
Truck 1997
    Nissan, *D21* service manual 1997: for 30' more camber and 30' less caster,
    1.0 mm at the front and 3.0 mm at the rear (read).
Navy
    NAVEDTRA 14273: equal shims keep the caster (read).
Car 1997
    Chevrolet 1997: a pack no thicker than 19.5 mm, the two no more than 10 mm apart
    (read).

The upright's height is taken from the camber rule of the first source and the arm's
length over the bolts' distance from its caster rule; the second source then has to
come out with no more than its own ratio.  Plausibility, not proof: "about" is theirs.
"""

from dataclasses import replace

import numpy as np
import pytest

from cited import DEGREE, INCH, printed
from shimmed import MM
from splinewise.core.alignment.corners import WishboneCorner
from splinewise.core.alignment.shims import ShimPacks
from splinewise.core.alignment.targets import angles_at
from splinewise.core.jet import value
from splinewise.core.linkages import WishbonePoints
from splinewise.errors import QuantityError

pytestmark = pytest.mark.cited

MINUTE = DEGREE / 60.0
HEIGHT = INCH / 32 / np.tan(0.2 * DEGREE)


def corner(reach, bolts, way):
    """An upright of the implied height between level arms; packs at the pivots."""
    half, low = bolts / 2.0, 0.2
    top = low + HEIGHT
    points = WishbonePoints(
        lower_front=np.array([0.2, 0.25, low]),
        lower_rear=np.array([-0.2, 0.25, low]),
        lower_ball=np.array([0.0, 0.6, low]),
        upper_front=np.array([half, 0.6 - reach, top]),
        upper_rear=np.array([-half, 0.6 - reach, top]),
        upper_ball=np.array([0.0, 0.6, top]),
        rod_inner=np.array([-0.12, 0.25, low + 0.02]),
        rod_outer=np.array([-0.12, 0.6, low + 0.02]),
        wheel_centre=np.array([0.0, 0.66, 0.3]),
        spindle=np.array([0.0, 1.0, 0.0]),
        tyre_radius=0.3,
    )
    packs = ShimPacks(
        "upper",
        points.upper_front,
        points.upper_rear,
        (0.0, way, 0.0),
        5.0 * MM,
        5.0 * MM,
        19.5 * MM,
        10.0 * MM,
    )
    return WishboneCorner(points, 1.0, (packs,))


def change(one, front, rear):
    """Change of camber, caster and toe by these thicknesses more."""
    at = np.asarray(0.0)
    now, new = (
        np.array([float(value(a)) for a in angles_at(one.linkage(x), at)])
        for x in ([5 * MM, 5 * MM], [5 * MM + front, 5 * MM + rear])
    )
    return new - now


def test_equal_shims_of_the_first_manual():
    """1/32 in at both bolts, shaft inboard: 1/5 degree of camber, no caster."""
    camber, caster, _ = change(corner(0.25, 0.2, -1.0), INCH / 32, INCH / 32)

    assert -camber == printed("0.2", DEGREE)
    assert abs(caster) < 0.01 * DEGREE


def test_a_shim_moved_to_the_front_in_the_first_manual():
    """1/32 in from the rear to the front: half a degree of caster less.

    It asks an arm 1.25 times as long as the bolts are apart, as 250 and 200 mm.
    """
    camber, caster, _ = change(corner(0.25, 0.2, -1.0), INCH / 32, -INCH / 32)

    assert caster == printed("-0.5", DEGREE)
    assert abs(camber) < 0.02 * DEGREE


def test_the_second_manual_on_the_upright_of_the_first():
    """1.0 mm in front and 3.0 mm behind, shaft outboard: 30' and −30'.

    Two makers' trucks come out with uprights of the same height within a hundredth;
    the caster asks an arm as long as its bolts are apart.
    """
    camber, caster, _ = change(corner(0.22, 0.22, 1.0), 1.0 * MM, 3.0 * MM)

    assert camber == printed("30", MINUTE)
    assert caster == printed("-30", MINUTE)


@pytest.mark.parametrize("thick", [1.0, 3.0, 6.0])
def test_equal_shims_keep_the_caster(thick):
    """NAVEDTRA: both packs alike; what is left of caster is far below any gauge."""
    _, caster, _ = change(corner(0.25, 0.2, -1.0), thick * MM, thick * MM)

    assert abs(caster) < 0.01 * DEGREE


def test_limits_of_a_pack():
    """19.5 mm, and 10 mm between the two: more is refused, and so is its search."""
    one = corner(0.25, 0.2, -1.0)
    packs = one.adjusters[0]

    assert {(limit.factors, limit.most) for limit in packs.limits} >= {
        ((1.0, 0.0), 19.5 * MM),
        ((1.0, -1.0), 10.0 * MM),
    }
    with pytest.raises(QuantityError, match=r"front must be from 0 to 0\.0195 m"):
        replace(packs, front=19.6 * MM)
