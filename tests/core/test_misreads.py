"""Misreads weighed: right names where they can be told, none where they cannot."""

import numpy as np
import pytest

from cited import INCH
from splinewise.core.leastsquares import fit_linear
from splinewise.core.misread_slips import (
    Alternative,
    Circumstances,
    Slip,
    Term,
    Typed,
    propose,
    swapped_sides,
)
from splinewise.core.misreads import square_sum_after, weigh
from splinewise.core.network import adjust, square_sum_of
from splinewise.core.network_ties import distance
from splinewise.errors import TaskError

U = 5e-4
# A made-up corner in metres: pivots, ball joints, damper bolt, wheel centre.
CORNER = np.array(
    [[0.12, 0.23, 0.24], [-0.18, 0.23, 0.235], [0.005, 0.575, 0.205],
     [0.06, 0.33, 0.455], [-0.12, 0.33, 0.445], [-0.012, 0.56, 0.44],
     [0.02, 0.29, 0.56], [0.0, 0.64, 0.305]]
)  # fmt: skip
PAIRS = [(i, j) for j in range(8) for i in range(j)]
TRUE = np.array([np.linalg.norm(CORNER[i] - CORNER[j]) for i, j in PAIRS])


def to_the_thirty_second(value):
    """Type a length as a person does, to 1/32 in."""
    whole, part = divmod(round(value / INCH * 32), 32)
    down = 32
    while part and part % 2 == 0:
        part, down = part // 2, down // 2
    terms = [Term(str(whole), INCH)]
    if part:
        terms.append(Term(str(part), INCH / down, INCH))
    return Typed(tuple(terms))


def taped(seed):
    noise = np.random.default_rng(seed).normal(0, U, len(PAIRS))
    return [to_the_thirty_second(v) for v in TRUE + noise]


def explain(typed):
    read = [t.value for t in typed]
    ties = [distance(i, j, v, U) for (i, j), v in zip(PAIRS, read, strict=True)]
    net = adjust(ties, 8, near=CORNER)
    slips = [a for k, t in enumerate(typed) for a in propose(k, t)]

    def refit(one):
        changed = net.fit.observed.copy()
        changed[list(one.rows)] = one.corrected
        return square_sum_of(net, changed)

    return net, weigh(net.tested, slips, refit=refit)


def test_good_readings_are_not_explained():
    """Nothing to blame, nothing to name, and belief in no misread."""
    net, found = explain(taped(1))

    assert found.blamed == ()
    assert found.named is None
    assert found.nothing > 0.5
    assert net.tested is net.fit


@pytest.mark.parametrize(
    ("row", "wrong", "slip"),
    [
        (5, lambda t: Typed((Term(str(int(t.terms[0].digits) - 1), INCH), *t.terms[1:])),
         Slip.WHOLE_INCH),
        (11, lambda t: Typed((Term(t.terms[0].digits[::-1], INCH), *t.terms[1:])),
         Slip.SWAPPED),
    ],
)  # fmt: skip
def test_a_slip_is_named(row, wrong, slip):
    """One inch off, or digits swapped: the reading, the slip, and what it was."""
    typed = taped(2)
    truth = typed[row].value
    typed[row] = wrong(typed[row])

    _, found = explain(typed)

    assert found.blamed == (row,)
    assert found.named is not None
    assert slip in [one.slip for one in found.named.alternatives]
    assert found.named.alternatives[0].corrected[0] == pytest.approx(truth)
    assert found.named.chance_above > 0.01
    assert found.named.likelihood_ratio > 1e6


def test_an_error_without_a_name_is_blamed_but_not_named():
    """A reading out by 17.3 mm: no slip comes near, and none is made up."""
    typed = taped(3)
    typed[8] = to_the_thirty_second(typed[8].value + 0.0173)

    _, found = explain(typed)

    assert found.blamed == (8,)
    if found.named is not None:
        shift = found.named.alternatives[0].corrected[0] - typed[8].value
        assert shift == pytest.approx(-0.0173, abs=3 * U)


@pytest.mark.slow
def test_planted_slips_over_many_cars():
    """Of 30 planted slips far above the noticeable size none is pinned on another row.

    At least two thirds are named outright, with the number that was on the tape.
    """
    rng = np.random.default_rng(4)
    right = blamed = wrong = planted = 0
    for trial in range(30):
        typed = taped(100 + trial)
        row = int(rng.integers(len(PAIRS)))
        truth = typed[row]
        whole = int(truth.terms[0].digits)
        typed[row] = Typed(
            (Term(str(whole + int(rng.choice([-1, 1]))), INCH), *truth.terms[1:])
        )
        _, found = explain(typed)
        planted += 1
        blamed += found.blamed == (row,)
        wrong += found.blamed not in ((), (row,))
        if found.named is not None and found.blamed == (row,):
            number = found.named.alternatives[0].corrected[0]
            right += abs(number - truth.value) < 1e-9

    assert wrong == 0
    assert blamed >= 0.9 * planted
    assert right >= planted * 2 / 3


def test_twins_are_never_told_apart():
    """Two readings of one thing an inch apart: either may be the misread."""
    f = fit_linear([[1.0], [1.0]], [16 * INCH, 15 * INCH], [U, U])
    slips = [*propose(0, Typed((Term("16", INCH),))),
             *propose(1, Typed((Term("15", INCH),)))]  # fmt: skip

    found = weigh(f, slips)

    assert found.blamed == ()
    assert found.named is None
    assert {one.alternatives[0].rows for one in found.weighed[:2]} == {(0,), (1,)}


def test_left_and_right_confused():
    """Two sides measured twice each, one pair written down the wrong way round."""
    A = [[1, 0], [0, 1], [1, 0], [0, 1], [1, 0], [0, 1]]
    read = [0.400, 0.420, 0.4002, 0.4197, 0.4201, 0.3999]

    found = weigh(fit_linear(A, read, [U] * 6), [
        swapped_sides(0, 1, (read[0], read[1])),
        swapped_sides(2, 3, (read[2], read[3])),
        swapped_sides(4, 5, (read[4], read[5])),
    ])  # fmt: skip

    assert found.blamed == (4, 5)
    assert found.named is not None
    assert found.named.alternatives[0].slip is Slip.SIDES


def test_two_slips_that_come_to_one_number_are_one():
    """An inch and a look-alike digit that give the same reading stand together."""
    A = np.ones((4, 1))
    read = [17 * INCH, 16 * INCH, 16 * INCH, 16 * INCH]
    slips = [Alternative(Slip.WHOLE_INCH, (0,), (16 * INCH,)),
             Alternative(Slip.LOOK_ALIKE, (0,), (16 * INCH + 1e-5,)),
             Alternative(Slip.HOOK, (0,), (17 * INCH - 2e-3,))]  # fmt: skip

    found = weigh(fit_linear(A, read, [U] * 4), slips)

    assert found.named is not None
    assert len(found.named.alternatives) == 2


def test_sum_of_squares_after_is_that_of_a_new_fit():
    """Exact for a linear model, for one row and for a pair."""
    rng = np.random.default_rng(6)
    A, read, u = rng.normal(size=(9, 3)), rng.normal(size=9), rng.uniform(0.5, 2, 9)
    f = fit_linear(A, read, u)
    for rows, numbers in [((4,), (3.0,)), ((1, 6), (-2.0, 0.5))]:
        changed = read.copy()
        changed[list(rows)] = numbers
        again = fit_linear(A, changed, u)
        one = Alternative(Slip.SIDES, rows, numbers)
        assert square_sum_after(f, one) == pytest.approx(float(again.square_sum))


def test_without_hypotheses_the_row_can_still_be_blamed():
    """No slips are given: the odd one out is blamed, and nothing named."""
    f = fit_linear(np.ones((4, 1)), [1.0, 1.0001, 1.05, 0.9999], [1e-4] * 4)
    found = weigh(f, [])
    assert (found.blamed, found.named, found.weighed) == ((2,), None, ())


def test_a_circumstance_opens_a_slip():
    """A hook pushed for pulled is found when the hook's thickness is given."""
    how = Circumstances(hook=1.5e-2)
    slips = propose(0, Typed((Term("655", 1e-3),)), how)
    f = fit_linear(np.ones((4, 1)), [0.655, 0.640, 0.6403, 0.6398], [U] * 4)

    found = weigh(f, slips)

    assert found.named is not None
    assert found.named.alternatives[0].slip is Slip.HOOK


def test_a_batch_is_refused():
    """Misreads are of one set of readings."""
    f = fit_linear(np.ones((3, 1)), np.zeros((2, 3)), np.ones(3))
    with pytest.raises(TaskError, match="one fit at a time"):
        weigh(f, [])
