"""The table of instruments: every row is whole, and its figures are those of print."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from cited import DEGREE, INCH, printed
from splinewise.core.instruments import (
    INSTRUMENTS,
    gauge_bar_doubt,
    reading_doubt,
)
from splinewise.errors import QuantityError, TextError

keys = st.sampled_from(sorted(INSTRUMENTS))


@pytest.mark.parametrize("key", sorted(INSTRUMENTS))
def test_every_row_is_whole(key):
    """Each gives positive parts by name, each with a source in words."""
    row = INSTRUMENTS[key]
    reading = 0.04 if row.unit != "kg" else 300.0

    doubt = reading_doubt(key, reading)

    names = [part.name for part in doubt.parts]
    assert names[:3] == ["resolution", "permissible error", "repeatability"]
    assert ("hook" in names) == key.endswith("hook")
    assert all(part.standard > 0 and part.source for part in doubt.parts)
    assert doubt.unit == row.unit
    assert row.words[0].islower()


@pytest.mark.cited
def test_tape_of_class_two_at_640_mm():
    """A limit of 0.5 mm, through the hook 0.7 mm: u 0.2887 and 0.4041 mm.

    Limits: Directive 2014/32/EU Annex X (MI-008) as in UK SI 2016/1153 (read); the
    division by √3 is JCGM 100 4.3.7 (from memory).
    """
    plain = reading_doubt("tape-2", 0.640).part("permissible error")
    hooked = reading_doubt("tape-2-hook", 0.640).part("permissible error")

    assert plain == printed("0.2887", 1e-3)
    assert hooked == printed("0.4041", 1e-3)


def test_digital_calliper_at_250_mm():
    """0.0176 mm outside and 0.0290 mm inside without the hand's scatter.

    Own derivation from DIN 862's limits, read in an extract.
    """
    for key, expected in (("outside", "0.0176"), ("inside", "0.0290")):
        doubt = reading_doubt(f"calliper-{key}", 0.250)
        instrument = np.hypot(doubt.part("resolution"), doubt.part("permissible error"))
        assert instrument == printed(expected, 1e-3)


def test_corner_scales_at_310_kg():
    """1550 intervals of 0.2 kg: 0.2 kg at first, 0.4 kg in service, u 0.231 kg.

    Own derivation from OIML R 76-1 Table 6 (read).
    """
    doubt = reading_doubt("corner-scales", 310.0)
    assert doubt.part("permissible error") == printed("0.231")


def test_a_finer_reading_counts():
    """A tape read to the sixteenth of an inch is doubted by that step."""
    doubt = reading_doubt("tape-2", 0.4, step=INCH / 16)
    assert doubt.part("resolution") == pytest.approx(INCH / 16 / np.sqrt(12))


def test_the_person_has_the_last_word():
    """A stated doubt replaces the whole row."""
    doubt = reading_doubt("phone", 0.1, standard=0.02 * DEGREE)
    assert doubt.standard == 0.02 * DEGREE


@given(keys, st.floats(0.0, 0.04))
def test_a_row_takes_many_readings_at_once(key, reading):
    """An array gives what its elements give one by one, sign or no sign."""
    both = reading_doubt(key, [reading, -reading]).standard
    assert_allclose(both, reading_doubt(key, reading).standard, rtol=1e-15)


@given(st.sampled_from(["tape-1", "tape-2", "tape-3", "rule", "vernier-outside"]),
       st.floats(0.0, 1.0), st.floats(0.0, 1.0))  # fmt: skip
def test_longer_is_never_surer(key, a, b):
    """The permitted error never falls with length."""
    short, long = sorted((a, b))
    u = reading_doubt(key, [short, long]).standard
    assert u[0] <= u[1]


def test_gauge_bar_in_medium_holes():
    """M12 bolts in two medium holes: within ±1.0 mm for 13.0 mm holes, u = 1/√6 mm.

    Own derivation; with the draughtsman's 13.5 mm ('medium' of ISO 273) it is
    ±1.5 mm and u 0.612 mm.
    """
    narrow = gauge_bar_doubt([0.013, 0.013], [0.012, 0.012], 0.0)
    medium = gauge_bar_doubt([0.0135, 0.0135], [0.012, 0.012], 0.0)

    assert narrow.standard == pytest.approx(1e-3 / np.sqrt(6))
    assert medium.standard == printed("0.612", 1e-3)


@pytest.mark.independent
def test_gauge_bar_with_unequal_holes_against_drawn_numbers():
    """Bolts thrown anywhere along their holes scatter the length as computed."""
    rng = np.random.default_rng(3)
    h, p = np.array([0.0135, 0.0104]), np.array([0.012, 0.010])
    offsets = rng.uniform(-1, 1, (300_000, 2)) * (h - p) / 2

    u = gauge_bar_doubt(h, p, 0.0).standard

    assert u == pytest.approx(np.std(offsets[:, 0] - offsets[:, 1]), rel=0.005)


def test_gauge_bar_keeps_its_other_parts():
    """Centres and lean add as squares."""
    doubt = gauge_bar_doubt([0.012, 0.012], [0.012, 0.012], 3e-5, straightness=1e-4)

    assert doubt.part("pin seating") == 0.0
    assert doubt.standard == pytest.approx(np.hypot(3e-5, 1e-4 / np.sqrt(6)))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: reading_doubt("rule", np.nan), "reading must be finite; got nan m"),
        (lambda: reading_doubt("rule", 2.5), "within the reach .* 2 m; got 2.5 m"),
        (lambda: reading_doubt("rule", 0.1, step=0.0), "step must be positive"),
        (
            lambda: reading_doubt("rule", 0.1, standard=-1e-3),
            "standard must be positive; got -0.001 m",
        ),
        (
            lambda: gauge_bar_doubt([0.012, 0.011], [0.012, 0.012], 0.0),
            "bolts must be no larger than their holes; got 0.012 m",
        ),
        (
            lambda: gauge_bar_doubt([0.012, 0.013], [0.012, 0.012], -1.0),
            "between_centres must be 0 or more",
        ),
    ],
)
def test_impossible_readings_are_refused(call, message):
    """The message says which number, what it was, and what would do."""
    with pytest.raises(QuantityError, match=message):
        call()


def test_an_unknown_instrument_is_told_what_there_is():
    """The message lists the rows."""
    with pytest.raises(TextError, match=r"called 'laser'\. Known are tape-1, "):
        reading_doubt("laser", 1.0)
