"""R. C. Hibbeler, *Mechanics of Materials*: Example 5.15, a bar past yield.

Read in a worked-solution notebook (FOSSEE, Python-Textbook-Companions, commit
d34b2ae7e5e6); page 243 was not seen.
"""

import pytest

from cited import printed
from splinewise.core.yielding import torque_at_twist


@pytest.mark.cited
def test_5_15_torque_for_a_twist_past_yield():
    """Radius 20 mm, 1.5 m, 0.6 rad; yield at 75 MPa and a strain of 0.0016."""
    torque = torque_at_twist(0.6, 1.5, 0.040, 75e6 / 0.0016, 75e6)

    assert torque == printed("1.254", 1e3)
