"""Our own solver on three of NIST's reference regressions, from both their starts.

Source
------
NIST/ITL, *Statistical Reference Datasets*, nonlinear regression,
https://www.itl.nist.gov/div898/strd/nls/nls_main.shtml (US Government work).  Data and
certified values were read in the files that the lmfit project carries (commit
fe389bb), BoxBOD in two further copies; NIST's pages were not seen.

NIST certifies eleven digits; 1e-8 is asked of parameters, of their standard
deviations (which are scaled by s0, since NIST gives no doubt of the readings) and of
the residual sum of squares.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from splinewise.core.derivatives import complex_step
from splinewise.core.leastsquares import fit

MISRA1A_X = [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3,
             536.8, 593.1, 689.1, 760.0]  # fmt: skip
MISRA1A_Y = [10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05,
             61.01, 66.4, 75.47, 81.78]  # fmt: skip
DANWOOD_X = [1.309, 1.471, 1.49, 1.565, 1.611, 1.68]
DANWOOD_Y = [2.138, 3.421, 3.597, 4.34, 4.882, 5.66]
BOXBOD_X = [1, 2, 3, 5, 7, 10]
BOXBOD_Y = [109, 149, 149, 191, 213, 224]


def saturating(b, x):
    """b1 (1 − exp(−b2 x)), the model of Misra1a and BoxBOD."""
    return b[..., 0:1] * (1 - np.exp(-b[..., 1:2] * x))


def power(b, x):
    """b1 x^b2, the model of DanWood."""
    return b[..., 0:1] * x ** b[..., 1:2]


SETS = {
    "Misra1a": (
        saturating, MISRA1A_X, MISRA1A_Y, ([500, 1e-4], [250, 5e-4]),
        [2.3894212918e02, 5.5015643181e-04], [2.7070075241e00, 7.2668688436e-06],
        1.2455138894e-01,
    ),
    "DanWood": (
        power, DANWOOD_X, DANWOOD_Y, ([1, 5], [0.7, 4]),
        [7.6886226176e-01, 3.8604055871e00], [1.8281973860e-02, 5.1726610913e-02],
        4.3173084083e-03,
    ),
    "BoxBOD": (
        saturating, BOXBOD_X, BOXBOD_Y, ([1, 1], [100, 0.75]),
        [2.1380940889e02, 5.4723748542e-01], [1.2354515176e01, 1.0455993237e-01],
        1.1680088766e03,
    ),
}  # fmt: skip


@pytest.mark.cited
@pytest.mark.parametrize("exact", [True, False], ids=["complex step", "differences"])
@pytest.mark.parametrize("start", [0, 1], ids=["far start", "near start"])
@pytest.mark.parametrize("name", SETS)
def test_certified_values(name, start, exact):
    """Parameters, standard deviations and residual sum of squares to 1e-8."""
    formula, x, y, starts, parameters, deviations, squares = SETS[name]
    x = np.array(x, dtype=float)

    def model(b):
        return formula(b, x)

    result = fit(
        model, starts[start], y, np.ones(len(y)),
        jacobian=(lambda b: complex_step(model, b)) if exact else None,
    )  # fmt: skip

    assert_allclose(result.parameters, parameters, rtol=1e-8)
    assert_allclose(result.doubts_scaled, deviations, rtol=1e-8)
    assert_allclose(result.square_sum, squares, rtol=1e-8)
    assert result.dof == len(y) - 2
