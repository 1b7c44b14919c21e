"""Force and rate at the wheel of a plain arm with a torsion bar.

Sources
-------
Barton
    D. C. Barton and J. D. Fieldhouse, *Automotive Chassis Engineering*, Springer
    2018, eq. 3.29 to 3.33, p. 179 (read): k_w = k_s (c/b)², "strictly valid only for
    small displacements".
Own
    The load-dependent part is our own derivation; no published example of it with
    numbers was found.  For an arm of length R at φ above level, slack at φ₀,
    F = k (φ − φ₀)/(R cos φ) and dF/dz = (k + F R sin φ)/(R cos φ)².  The figures were
    worked out from these two lines in another program, and their derivative was
    confirmed there by differences of F.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from cited import DEGREE, printed
from splinewise.core.corner import Spring, slack_for, standing_angle, wheel_force
from splinewise.core.linkages import PlanarArm, travel

ROWS = [
    # arm °, force N, rate N/mm, rate without the load's part N/mm
    (-20, "2587.23", "17.6114", "19.7436"),
    (-10, "3920.89", "16.4824", "17.9760"),
    (0, "5291.44", "17.4340", "17.4340"),
    (10, "6825.25", "20.5761", "17.9760"),
    (20, "8674.84", "26.8925", "19.7436"),
]
# The rate 3851.17 N·m/rad is itself rounded: its half digit may reach the last of F.
RATE, ARM, SLACK = 3851.17, 0.470, -37 * DEGREE


@pytest.mark.independent
@pytest.mark.parametrize(("angle", "force", "rate", "bare"), ROWS)
@pytest.mark.parametrize("drawn", [-15.0, 0.0, 12.0])
@pytest.mark.parametrize("across", [False, True])
@pytest.mark.parametrize("outboard", [1.0, -1.0])
def test_rate_table(angle, force, rate, bare, drawn, across, outboard):
    """Own derivation: wherever the drawn position is, and however the bar lies."""
    arm = PlanarArm(outboard, ARM, drawn * DEGREE, across=across)
    spring = Spring(RATE, SLACK - drawn * DEGREE)

    got = wheel_force(arm, spring, (angle - drawn) * DEGREE)

    assert got.force == printed(force)
    assert got.wheel_rate == printed(rate, 1e3)
    assert got.spring_part == printed(bare, 1e3)


@pytest.mark.independent
def test_trailing_arm():
    """Own derivation: arm 0.4 m at −5°, bar 3000 N·m/rad, 2500 N at the wheel.

    Slack at −24.025917°, 18344.62 N/m; with the anchor turned by one degree and the
    same load the arm stands at 1.026773° more and the wheel 7.1462 mm from before.
    """
    arm = PlanarArm(1.0, 0.4, -5 * DEGREE, across=True)
    slack = slack_for(arm, angle=0.0, rate=3000.0, load=2500.0)

    assert slack - 5 * DEGREE == printed("-24.025917", DEGREE)
    at = wheel_force(arm, Spring(3000.0, slack), 0.0)
    assert at.wheel_rate == printed("18344.62")

    turned = Spring(3000.0, slack + DEGREE)
    stands = standing_angle(arm, turned, 2500.0, low=-0.2, high=0.4)
    assert stands == printed("1.026773", DEGREE)
    assert travel(arm, stands).rise == printed("7.1462", 1e-3)


@pytest.mark.cited
@pytest.mark.parametrize(("c", "b"), [(0.2, 0.4), (0.31, 0.35), (0.1, 0.55)])
def test_lever_ratio_squared_for_small_movement(c, b):
    """Barton: a spring k_s at c on an arm of b feels like k_s (c/b)² at the wheel.

    A bar of k_s c² does to the arm what that spring does; level and unloaded, or
    level alone, the movement is small in the book's sense.
    """
    k_s = 42_000.0
    arm = PlanarArm(1.0, b, 0.0)

    unloaded = wheel_force(arm, Spring(k_s * c**2, 0.0), 0.0)
    loaded = wheel_force(arm, Spring(k_s * c**2, -0.4), 0.0)

    assert_allclose(unloaded.wheel_rate, k_s * (c / b) ** 2, rtol=1e-12)
    assert_allclose(loaded.wheel_rate, k_s * (c / b) ** 2, rtol=1e-12)
    assert unloaded.force == 0.0
    # And no longer where the loaded arm points up, as the book warns.
    raised = wheel_force(arm, Spring(k_s * c**2, -0.4), 0.2)
    assert raised.wheel_rate > 1.02 * k_s * (c / b) ** 2


@pytest.mark.cited
def test_the_wheel_ratio_of_an_arm_with_a_lever_counts_twice():
    """Barton: force falls and travel grows by the ratio, so the rate by its square."""
    plain = wheel_force(PlanarArm(1.0, 0.3, 0.0), Spring(4000.0, -0.3), 0.0)
    longer = wheel_force(
        PlanarArm(1.0, 0.3, 0.0, ratio=1.25), Spring(4000.0, -0.3), 0.0
    )

    assert_allclose(longer.force, plain.force / 1.25, rtol=1e-12)
    assert_allclose(longer.wheel_rate, plain.wheel_rate / 1.25**2, rtol=1e-12)


def test_rates_are_the_slope_of_the_force():
    """The table's middle column is what its first two rows say, row by row."""
    arm = PlanarArm(1.0, ARM, 0.0)
    angles = np.linspace(-0.35, 0.35, 29)
    step = 1e-4

    at = [wheel_force(arm, Spring(RATE, SLACK), angles + k * step) for k in (-1, 0, 1)]

    slope = (at[2].force - at[0].force) / (at[2].rise - at[0].rise)
    assert_allclose(at[1].wheel_rate, slope, rtol=1e-7)
