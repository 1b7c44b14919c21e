"""What shims do to the bar's arm, and what can be adjusted on which layout."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from shimmed import MM, NOW, corner, plain
from splinewise.core.alignment.bar_arm import bar_effect, settled_change
from splinewise.core.alignment.corners import WishboneCorner
from splinewise.core.alignment.means import MEANS, means_of
from splinewise.core.alignment.rods import ScrewedRod, Thread
from splinewise.core.alignment.shims import EccentricBolt, ShimPacks, Slide
from splinewise.core.alignment.targets import NAMES
from splinewise.core.corner import Spring, slack_for
from splinewise.core.geometry import vec
from splinewise.core.linkages import DoubleWishbone
from wishbones import EXAMPLE, Upright

FIXED, SLACK = EXAMPLE.damper_body, -0.46
RATE, LOAD = 1975.0, 2636.0
THICKER = [NOW + 3 * MM, NOW + 3 * MM, 0.0]
UNEVEN = [NOW + 4 * MM, NOW - 2 * MM, 0.0]


def gauge(arm):
    """Where the gauge's bolt is on an arm, as drawn."""
    return EXAMPLE.damper_arm if arm == "lower" else np.array([0.0, 0.46, 0.45])


@pytest.mark.parametrize("settings", [THICKER, UNEVEN])
@pytest.mark.parametrize(("arm", "bar_on"), [("upper", "lower"), ("lower", "upper")])
def test_shims_on_the_other_arm_leave_the_setting(arm, bar_on, settings):
    """No shift, no tilt, the same setting length."""
    one = corner(arm=arm, bar_on=bar_on)
    effect = bar_effect(one, settings, slack=SLACK, fixed=FIXED, on_arm=gauge(bar_on))

    assert not effect.carries
    assert_allclose(effect.shift, 0.0, atol=0)
    assert effect.tilt == 0.0
    assert effect.length_change == 0.0


@pytest.mark.parametrize("slack", [SLACK, 0.0, 0.2])
@pytest.mark.parametrize("bar_on", ["lower", "upper"])
def test_shims_on_the_bar_s_arm_change_the_setting_length(bar_on, slack):
    """A plain shift: the length is that to the shifted bolt, turned by hand."""
    one = corner(arm=bar_on, bar_on=bar_on)
    bolt = gauge(bar_on)
    effect = bar_effect(one, THICKER, slack=slack, fixed=FIXED, on_arm=bolt)

    on_arm = Upright(EXAMPLE, 1.0, bar_on=bar_on).on_driven(bolt, slack)
    moved = on_arm + np.array([0.0, -3 * MM, 0.0])

    assert effect.carries
    assert_allclose(effect.shift, [0.0, -3 * MM, 0.0], atol=1e-16)
    assert_allclose(effect.tilt, 0.0, atol=1e-15)
    assert_allclose(effect.length_before, np.linalg.norm(on_arm - FIXED), rtol=1e-13)
    assert_allclose(effect.length_after, np.linalg.norm(moved - FIXED), rtol=1e-13)
    assert abs(effect.length_change) > 0.3 * MM


def test_uneven_packs_tilt_the_bar():
    """Six millimetres of difference between the bolts lean the axis over."""
    one = corner(arm="lower", bar_on="lower")
    packs = one.adjusters[0]
    bolts = np.linalg.norm(np.subtract(packs.front_bolt, packs.rear_bolt))

    effect = bar_effect(one, UNEVEN, slack=SLACK, fixed=FIXED, on_arm=gauge("lower"))

    assert effect.carries
    assert_allclose(effect.tilt, np.arctan(6 * MM / bolts), rtol=1e-3)


def test_set_as_it_is_nothing_is_moved():
    """The bar's own arm, with its packs as they are."""
    one = corner(arm="lower")
    effect = bar_effect(
        one, [NOW, NOW, 0.0], slack=SLACK, fixed=FIXED, on_arm=gauge("lower")
    )

    assert not effect.carries
    assert_allclose(effect.length_change, 0.0, atol=1e-16)


def test_the_gauge_is_that_of_the_arm():
    """Before any shim, the length is the bare arm's own."""
    arm = DoubleWishbone.build(EXAMPLE, outboard=1.0).arm
    bolt = gauge("lower")
    effect = bar_effect(corner(), THICKER, slack=SLACK, fixed=FIXED, on_arm=bolt)

    assert_allclose(
        effect.length_before, arm.span(vec(FIXED), vec(bolt)).length(SLACK), rtol=1e-15
    )


@pytest.mark.parametrize(("arm", "mm"), [("upper", 1.0), ("lower", 3.0)])
def test_where_it_stands_afterwards(arm, mm):
    """Three millimetres of shim: under the upper arm less than 1 mm of height, by the
    wheel's lean alone.
    """
    one = corner(arm=arm)
    linkage = one.linkage([NOW, NOW, 0.0])
    spring = Spring(RATE, float(slack_for(linkage, angle=0.02, rate=RATE, load=LOAD)))

    change = settled_change(one, THICKER, spring, LOAD, low=-0.4, high=0.4)
    new = Upright(plain(one.adjusted(THICKER)), 1.0)

    def energy(angle):
        """Bar wound up less load let down, by the constraints alone."""
        z = new.reading(new.sweep([angle])[-1], angle)["z"]
        return 0.5 * RATE * (angle - spring.slack) ** 2 - LOAD * z

    h = 1e-4
    pull = (energy(change.after + h) - energy(change.after - h)) / (2 * h)
    assert_allclose(change.before, 0.02, atol=1e-12)
    assert abs(pull) < 1e-3 * LOAD * h * 10
    assert abs(change.height) < mm * MM


# ---- other layouts ----


def test_every_layout_says_what_it_can_adjust():
    """Words, angles and parts; nothing where the model knows no wheel."""
    kinds = {"ShimPacks": ShimPacks, "EccentricBolt": EccentricBolt, "Slide": Slide}
    kinds |= {"ScrewedRod": ScrewedRod}

    for layout, ways in MEANS.items():
        assert means_of(layout) is ways
        for way in ways:
            assert set(way.angles) | set(way.also) <= set(NAMES)
            assert not set(way.angles) & set(way.also)
            assert way.adjuster == "" or way.adjuster in kinds
    assert means_of("planar arm") == ()
    assert means_of("no such layout") == ()
    assert all("caster" not in way.angles for way in means_of("trailing arm"))
    assert any(way.part == "strut_top" for way in means_of("strut"))


def test_what_the_wishbone_means_name_can_be_moved():
    """Each named part is one that an adjuster of that kind moves on the corner."""
    for way in means_of("double wishbone"):
        for part in way.part.split(", "):
            if way.adjuster == "ShimPacks":
                one = corner(arm=part).adjusters[0]
            elif way.adjuster == "EccentricBolt":
                one = EccentricBolt(part, 0.004, (0, 1, 0), 0.0)
            elif way.adjuster == "Slide":
                one = Slide(part, (0, 1, 0), -0.01, 0.01)
            else:
                one = ScrewedRod(part, (Thread("end", 0.0015, 0.02, 0.01, 0.03),))
            made = WishboneCorner(EXAMPLE, 1.0, (one,))
            new = [knob.now + 0.001 for knob in one.knobs]
            same = made.adjusted([knob.now for knob in one.knobs])
            ways = made.adjusted(new)
            gap = plain(ways).rod_outer - plain(same).rod_outer
            assert np.max(np.abs(gap)) > 1e-8
