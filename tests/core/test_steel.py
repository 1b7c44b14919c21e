"""The table of shear moduli: figures as printed, their standing, and their doubt.

Sources
-------
Table
    Spring moduli table at engineersedge.com, in the style of Machinery's Handbook: in
    10⁶ psi.  Read.
Schubmodul
    "Schubmodul und Werkstoff", aabag.de: DIN 17221 and DIN 17223, in kp/mm².  Read.
EN 10270-1
    zinref.ru, list of DIN standards, part 38: 81.5 kN/mm².  Read.
EN 13906-1
    EN 10089 bar at 78.5 GPa, and the loss with temperature.  From memory, not verified.
"""

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from cited import PSI, printed
from splinewise.core.bar import round_bar
from splinewise.core.standing import Standing
from splinewise.core.steel import (
    STEELS,
    TEMPERATURE_COEFFICIENT,
    TEMPERATURE_COEFFICIENT_STANDING,
    Steel,
    modulus_at,
)
from splinewise.errors import QuantityError

KILOPOND_PER_MM2 = 9.80665e6  # Pa, exact

PRINTED = [
    ("chrome-vanadium", "11.2", 1e6 * PSI, "77.22", Standing.READ),
    ("chrome-silicon", "11.2", 1e6 * PSI, "77.22", Standing.READ),
    ("silicon-manganese", "10.75", 1e6 * PSI, "74.12", Standing.READ),
    ("oil-tempered MB wire", "11.2", 1e6 * PSI, "77.22", Standing.READ),
    ("hot-formed spring steel", "8000", KILOPOND_PER_MM2, "78.45", Standing.READ),
    ("patented drawn wire", "8300", KILOPOND_PER_MM2, "81.40", Standing.READ),
    ("EN 10270-1 wire", "81.5", 1e9, "81.5", Standing.READ),
    ("EN 10089 bar", "78.5", 1e9, "78.5", Standing.MEMORY),
]


@pytest.mark.cited
@pytest.mark.parametrize(("name", "figure", "unit", "gigapascal", "standing"), PRINTED)
def test_the_rows_as_printed(name, figure, unit, gigapascal, standing):
    """In the source's own unit, and turned into GPa."""
    row = STEELS[name]

    assert_allclose(row.shear_modulus, float(figure) * unit, rtol=1e-12)
    assert row.shear_modulus == printed(gigapascal, 1e9)
    assert row.standing is standing


def test_every_row_is_one_of_these_or_says_it_is_our_own_middle():
    """No figure without a source has crept in."""
    ours = {"unknown spring steel", "steel of the textbooks"}

    assert set(STEELS) == {name for name, *_ in PRINTED} | ours
    for name in ours:
        assert STEELS[name].standing is Standing.OWN
        assert "the middle is ours" in STEELS[name].source


def test_no_row_is_a_silent_number():
    """Each has a doubt above nothing, a source and a standing."""
    for name, row in STEELS.items():
        assert row.name == name
        assert row.doubt > 0.0
        assert len(row.source) > 10
        assert isinstance(row.standing, Standing)
        assert_allclose(row.relative_doubt, row.doubt / row.shear_modulus, rtol=1e-15)


@pytest.mark.cited
def test_unknown_steel_spans_what_was_read():
    """From 74.1 to 81.4 GPa, each value as likely: half-width / √3 is the doubt."""
    row = STEELS["unknown spring steel"]
    half = row.doubt * np.sqrt(3.0)

    assert row.shear_modulus - half == printed("74.1", 1e9)
    assert row.shear_modulus + half == printed("81.4", 1e9)


@pytest.mark.cited
def test_the_textbooks_span_what_was_read():
    """From 77 GPa to 12e6 psi, the figures of the worked examples."""
    row = STEELS["steel of the textbooks"]
    half = row.doubt * np.sqrt(3.0)

    assert row.shear_modulus - half == printed("77", 1e9)
    assert_allclose(row.shear_modulus + half, 12e6 * PSI, rtol=1e-12)


@pytest.mark.parametrize("name", ["chrome-vanadium", "chrome-silicon"])
def test_the_doubt_of_an_alloy_reaches_to_what_the_other_source_says(name):
    """77.22 in one table and 78.45 in the other for the same bars; reach / √3."""
    row, other = STEELS[name], STEELS["hot-formed spring steel"]

    reach = abs(other.shear_modulus - row.shear_modulus)

    assert_allclose(row.doubt, reach / np.sqrt(3.0), rtol=1e-12)
    assert row.relative_doubt == printed("0.009")


@pytest.mark.independent
@pytest.mark.parametrize("name", ["silicon-manganese", "hot-formed spring steel"])
def test_the_rule_of_doubt_is_a_root_mean_square(name):
    """Sampled: any value between the two figures, measured from the row's own."""
    low = STEELS["silicon-manganese"].shear_modulus
    high = STEELS["hot-formed spring steel"].shear_modulus
    drawn = np.random.default_rng(1).uniform(low, high, 200_000)

    rms = np.sqrt(np.mean((drawn - STEELS[name].shear_modulus) ** 2))

    assert_allclose(STEELS[name].doubt, rms, rtol=0.01)


def test_no_doubt_is_below_the_printed_rounding():
    """Half of the last digit, over √3."""
    for name, figure, unit, *_ in PRINTED:
        half = printed(figure, unit).abs
        assert STEELS[name].doubt >= half / np.sqrt(3.0) * (1.0 - 1e-12)


def test_the_table_cannot_be_changed():
    """Neither a row nor the mapping."""
    with pytest.raises(TypeError):
        STEELS["mine"] = STEELS["chrome-silicon"]
    with pytest.raises(dataclasses.FrozenInstanceError):
        STEELS["chrome-silicon"].doubt = 0.0


def test_a_row_goes_into_a_bar():
    """The modulus is a plain number in pascals; the rate follows it straight."""
    soft, stiff = STEELS["silicon-manganese"], STEELS["chrome-vanadium"]
    rates = [round_bar(1.0, 0.02, s.shear_modulus).rate for s in (soft, stiff)]

    assert_allclose(rates[1] / rates[0], 11.2 / 10.75, rtol=1e-12)


@pytest.mark.cited
@pytest.mark.parametrize(("celsius", "change"), [(-20.0, "0.010"), (60.0, "-0.010")])
def test_what_the_weather_does(celsius, change):
    """From -20 to +60 °C is +1.0 to -1.0 %.  EN 13906-1 from memory, not verified."""
    assert modulus_at(1.0, celsius - 20.0) - 1.0 == printed(change)
    assert printed("0.00025") == TEMPERATURE_COEFFICIENT
    assert TEMPERATURE_COEFFICIENT_STANDING is Standing.MEMORY


@given(st.floats(6e10, 9e10), st.floats(-80.0, 180.0))
def test_a_warm_bar_is_softer(modulus, rise):
    """And room temperature is the zero."""
    assert modulus_at(modulus, 0.0) == modulus
    assert (modulus_at(modulus, rise) - modulus) * rise <= 0.0


def test_arguments_broadcast():
    """Moduli down, temperatures across."""
    assert modulus_at([[77e9], [79e9]], [-40.0, 0.0, 40.0]).shape == (2, 3)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: modulus_at(0.0, 0.0), "shear_modulus must be positive; got 0 Pa"),
        (lambda: modulus_at(78e9, np.nan), "temperature_rise must be finite"),
        (lambda: modulus_at(78e9, 293.15), "temperature_rise .*; got 293.15 K"),
        (lambda: modulus_at(78e9, -81.0), "temperature_rise must be from -80 to 180"),
    ],
)
def test_impossible_temperatures_are_refused_by_name(make, message):
    """A Celsius or kelvin reading given for a rise does not slip through unseen."""
    with pytest.raises(QuantityError, match=message):
        make()


def test_a_maker_s_own_steel_is_a_row_like_any_other():
    """Whoever has a certificate can say so in the same words."""
    mine = Steel("bar 17", 78.9e9, 0.2e9, "maker's certificate", Standing.READ)

    assert mine.relative_doubt == pytest.approx(0.2 / 78.9)
