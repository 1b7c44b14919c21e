"""A levelling that fails the test on the whole, after Niemeier.

Source
------
W. Niemeier, *Ausgleichungsrechnung*, 2nd ed., de Gruyter 2008, pp. 153-156 and
268-269, read in the transcription that GNU Gama 2.24 carries; the book was not seen.
The doubt of a line is 1 mm times the root of its length in kilometres.
"""

import numpy as np
import pytest

from cited import printed
from splinewise.core.network import adjust
from splinewise.core.network_ties import level

LINES = [
    (1, 2, -8.206, 621.118), (1, 3, -5.734, 1204.819), (2, 3, 2.481, 450.450),
    (2, 4, -4.433, 800), (3, 4, -6.909, 1000), (3, 5, -18.872, 1098.901),
    (3, 6, 4.035, 440.529), (4, 5, -11.962, 719.424), (5, 6, 22.904, 833.333),
]  # fmt: skip


@pytest.fixture(scope="module")
def net():
    ties = [level(i - 1, j - 1, dh, 1e-3 * np.sqrt(s / 1e3)) for i, j, dh, s in LINES]
    held = [[np.nan]] * 5 + [[67.228]]
    return adjust(ties, 6, dimensions=1, held=held)


@pytest.mark.cited
def test_heights(net):
    """Printed heights and posterior deviations.

    60.71525 and 44.32255 lie on a rounding edge of the print (recomputed), so the
    four decimals are compared within one unit there.
    """
    x, u = net.coordinates[:, 0], net.doubts_scaled[:, 0]

    for i, text in [(0, "68.9235"), (2, "63.1938"), (3, "56.2838")]:
        assert x[i] == printed(text)
    assert x[1] == pytest.approx(60.7153, abs=1e-4)
    assert x[4] == pytest.approx(44.3226, abs=1e-4)
    for i, text in enumerate(("3.12", "2.60", "1.97", "2.63", "2.30")):
        assert u[i] == printed(text, 1e-3)


def test_it_fails(net):
    """Own recomputation: s0 3.394 at 4 dof, p 2e-9; two readings in series share w."""
    f = net.fit

    assert f.s0 == printed("3.394")
    assert f.dof == 4
    assert f.chance_above == printed("2e-9")
    w = np.abs(f.standardized)
    assert w[0] == printed("5.246")
    assert w[1] == pytest.approx(w[0], rel=1e-9)
    assert w[2] == printed("6.134")
    assert np.argmax(w) == 2
