"""Slips of one reading: the corrected numbers, by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cited import INCH
from splinewise.core.misread_slips import (
    Circumstances,
    Slip,
    Term,
    Typed,
    propose,
    swapped_sides,
)
from splinewise.errors import QuantityError

MM = 1e-3


def inches(whole, numerator=None, denominator=1):
    terms = [Term(str(whole), INCH)]
    if numerator is not None:
        terms.append(Term(str(numerator), INCH / denominator, INCH))
    return Typed(tuple(terms))


def millimetres(text):
    return Typed((Term(text, MM),))


def corrected(typed, slip, unit, **how):
    found = propose(7, typed, Circumstances(**how))
    return sorted(round(a.corrected[0] / unit, 5) for a in found if a.slip is slip)


def test_a_digit_lost_in_front_of_a_numerator():
    """15 3/16 may have been 15 13/16."""
    assert corrected(inches(15, 3, 16), Slip.LEFT_OUT, INCH) == [15.8125]
    # 17/16 would be no fraction of an inch.
    assert corrected(inches(15, 7, 16), Slip.LEFT_OUT, INCH) == []


def test_whole_inches_and_graduations():
    """15 5/8 may have been 14 5/8 or 16 5/8; by a thirty-second 15 19/32 or 21/32."""
    typed = inches(15, 5, 8)
    assert corrected(typed, Slip.WHOLE_INCH, INCH) == [14.625, 16.625]
    found = corrected(typed, Slip.GRADUATION, INCH, graduation=INCH / 32)
    assert found == [15.59375, 15.65625]


def test_a_fraction_counted_from_the_wrong_side():
    """15 3/16 for 14 13/16 (back from 15), or for 15 13/16 (back from 16)."""
    assert corrected(inches(15, 3, 16), Slip.COUNTED_BACK, INCH) == [14.8125, 15.8125]


def test_a_fraction_of_the_wrong_kind():
    """15 5/16 may have been 15 5/8 or 15 5/32; 5/8 cannot have been 5/4."""
    assert corrected(inches(15, 5, 16), Slip.DENOMINATOR, INCH) == [15.15625, 15.625]
    assert corrected(inches(15, 5, 8), Slip.DENOMINATOR, INCH) == [15.3125]


def test_digits_of_millimetres():
    """397: 937 and 379 swapped, 97, 37 and 39 with one digit too many."""
    typed = millimetres("397")
    assert corrected(typed, Slip.SWAPPED, MM) == [379, 937]
    assert corrected(typed, Slip.ADDED, MM) == [37, 39, 97]
    assert corrected(typed, Slip.TEN_MILLIMETRES, MM) == [387, 407]
    assert corrected(typed, Slip.BURNT_END, MM) == [297, 497]
    assert corrected(typed, Slip.LOOK_ALIKE, MM) == [347, 391, 392, 897]


def test_a_decimal_point_is_no_digit():
    """397.5 swapped over the point is 395.7."""
    found = corrected(millimetres("397.5"), Slip.SWAPPED, MM)
    assert found == [379.5, 395.7, 937.5]
    assert 3.5 not in corrected(millimetres("3.5"), Slip.ADDED, MM)


def test_ends_of_a_reading():
    """Hook, bolt heads and the wrong end of a rule."""
    typed = millimetres("640")
    assert corrected(typed, Slip.HOOK, MM, hook=1.2e-3) == [638.8, 641.2]
    heads = corrected(typed, Slip.BOLT_EDGE, MM, heads=(0.019, 0.024))
    assert heads == [618.5, 628, 630.5, 649.5, 652, 661.5]
    assert corrected(typed, Slip.OTHER_END, MM, tape=1.0) == [360]


def test_signs():
    """A camber of 1.2° may have been −1.2°; a length has no sign."""
    typed = Typed((Term("1.2", 1.0),))
    assert corrected(typed, Slip.SIGN, 1.0, signed=True) == [-1.2]
    assert corrected(typed, Slip.SIGN, 1.0) == []
    below = Typed((Term("1.2", 1.0),), sign=-1.0)
    assert below.value == -1.2
    assert -2.1 in corrected(below, Slip.SWAPPED, 1.0, signed=True)


def test_left_for_right():
    """Both readings change places."""
    pair = swapped_sides(3, 9, (0.41, 0.43))
    assert (pair.rows, pair.corrected) == ((3, 9), (0.43, 0.41))


@given(st.integers(0, 40), st.integers(1, 15))
def test_no_length_is_corrected_to_nothing_or_to_itself(whole, numerator):
    """Every proposal is a positive length, and another one."""
    typed = inches(whole, numerator, 16)
    how = Circumstances(INCH / 16, 1e-3, (0.02, 0.02), 1.0)
    for one in propose(0, typed, how):
        assert one.corrected[0] > 0.0
        assert abs(one.corrected[0] - typed.value) > 1e-9


def test_feet_are_a_term_like_others():
    """1 ft 3 5/8 in."""
    typed = Typed((Term("1", 12 * INCH), Term("3", INCH), Term("5", INCH / 8, INCH)))
    assert typed.value == pytest.approx(15.625 * INCH)
    assert 20.625 in corrected(typed, Slip.LOOK_ALIKE, INCH)


def test_a_reading_that_is_no_number():
    """An endless reading is refused."""
    with pytest.raises(QuantityError, match="typed must be finite"):
        propose(0, Typed((Term("inf", 1.0),)))
