"""Ride rates, preloads and wheel hop of a racing car.

T. Webster, motorsport course notes, Suspension_design_assignment.pdf, read in a public
repository (TomWebster98/Motorsport-Engineering-Notes).  850 kg with 30 and 35 kg of
unsprung mass an axle, wheelbase 3.5 m, centre of gravity 1.8 m behind the front axle,
3 and 3.6 Hz, tyres of 400 kN/m; every figure is for a whole axle.
"""

import numpy as np
import pytest

from cited import printed
from splinewise.core.corner import ride_frequency
from splinewise.core.other_springs import LinearSpring, rate_for_frequency
from splinewise.core.tyre import hop_frequency

SPRUNG = 850.0 - 30.0 - 35.0
FRONT, REAR = SPRUNG * 1.7 / 3.5, SPRUNG * 1.8 / 3.5
TYRES, GRAVITY = 4.0e5, 9.81

axles = pytest.mark.parametrize(
    ("mass", "unsprung", "hertz", "rate", "preload", "hop"),
    [
        (FRONT, 30.0, 3.0, "1.3547e5", "3740.4", "21.2632"),
        (REAR, 35.0, 3.6, "2.0656e5", "3960.4", "20.9518"),
    ],
    ids=["front", "rear"],
)


@pytest.mark.cited
@axles
def test_rate_for_the_ride_frequency(mass, unsprung, hertz, rate, preload, hop):
    """M (2π f)², and the frequency comes back."""
    k = rate_for_frequency(hertz, mass)

    assert k == printed(rate)
    assert ride_frequency(k, mass) == pytest.approx(hertz)


@pytest.mark.cited
@axles
def test_preload_that_carries_the_body(mass, unsprung, hertz, rate, preload, hop):
    """The spring at its drawn length carries the axle's share."""
    spring = LinearSpring(rate_for_frequency(hertz, mass), mass * GRAVITY)

    assert spring.push(0.0).force == printed(preload)


@pytest.mark.cited
@axles
def test_wheel_hop(mass, unsprung, hertz, rate, preload, hop):
    """Springs and tyres on the unsprung mass."""
    k = rate_for_frequency(hertz, mass)

    assert hop_frequency(k, TYRES, unsprung) == printed(hop)
    assert np.isfinite(k)
