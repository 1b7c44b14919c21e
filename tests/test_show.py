"""What is written: rounding against the decimal module's own, and reading back.

Sources
-------
JCGM 100
    JCGM 100:2008, *Guide to the expression of uncertainty in measurement*, 7.2.6: at
    most two significant digits of a doubt, and estimates rounded to match.  From
    memory; the page was not seen.
"""

import math
import re
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cited import DEGREE, INCH, LBF, PSI
from splinewise import show
from splinewise.errors import QuantityError
from splinewise.units import mixed, read

PAGE = Path(__file__).parent.parent / "docs" / "reference" / "quantities.md"

lengths = st.floats(-3.0, 3.0)
doubts = st.floats(1e-6, 0.5)
systems = st.sampled_from(["inch", "metric"])

# Each function that takes a system, its kind and a range fit for a car.
AMOUNTS = [
    (show.mass, "mass", 1.0, 5000.0),
    (show.force, "force", 1.0, 50_000.0),
    (show.torque, "torque", 1.0, 10_000.0),
    (show.linear_rate, "linear rate", 100.0, 1e6),
    (show.angular_rate, "angular rate", 10.0, 1e5),
    (show.stress, "pressure", 1e5, 2e9),
    (show.frequency, "frequency", 0.1, 10.0),
    (show.energy, "energy", 0.1, 1e4),
]


def last_place(text):
    """Half of the last place of the number that `text` begins with, as a fraction."""
    number = re.match("[−+]?([0-9.]+)", text)[1]
    digits = len(number.partition(".")[2])
    if digits:
        return Fraction(1, 2 * 10**digits)
    zeros = len(number) - len(number.rstrip("0"))
    return Fraction(10**zeros, 2)


# The rule --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("doubt", "text"),
    [
        (0.00030, "397.1 mm ± 0.3 mm"),
        (0.00034, "397.1 mm ± 0.3 mm"),
        (0.00036, "397.1 mm ± 0.4 mm"),
        (0.00014, "397.12 mm ± 0.14 mm"),
        (0.000149, "397.12 mm ± 0.15 mm"),
        (0.000194, "397.12 mm ± 0.19 mm"),
        (0.000196, "397.1 mm ± 0.2 mm"),
        (0.00096, "397.1 mm ± 1.0 mm"),
        (0.000996, "397.1 mm ± 1.0 mm"),
        (0.0012, "397.1 mm ± 1.2 mm"),
        (0.002, "397 mm ± 2 mm"),
        (0.014, "397 mm ± 14 mm"),
        (0.03, "400 mm ± 30 mm"),
        (0.1, "400 mm ± 100 mm"),
        (0.6, "400 mm ± 600 mm"),
        (3e-6, "397.123 mm ± 0.003 mm"),
    ],
)
def test_a_doubt_has_one_digit_or_two_after_a_one(doubt, text):
    """JCGM 100 allows at most two; the value goes to the same place."""
    assert show.length(0.397123, system="metric", doubt=doubt) == text


@given(lengths, doubts)
def test_a_doubt_never_has_more_than_two_digits(value, doubt):
    """JCGM 100, 7.2.6, whatever the numbers."""
    text = show.length(value, system="metric", doubt=doubt)
    number, width = re.fullmatch(r"−?([0-9.]+) mm ± ([0-9.]+) mm", text).groups()

    digits = width.replace(".", "").lstrip("0")
    if "." not in width:
        digits = digits.rstrip("0") or digits
    assert len(digits) <= 2
    assert len(digits) == 1 or digits[0] == "1"
    assert len(number.partition(".")[2]) == len(width.partition(".")[2])


def test_halves_go_to_the_even_digit():
    """Of the shortest decimal, so 397.05 mm is a tie, though its float is not."""
    assert show.length(0.39705, system="metric") == "397.0 mm"
    assert show.length(0.39715, system="metric") == "397.2 mm"
    assert show.length(-0.39715, system="metric") == "−397.2 mm"


@given(lengths, doubts)
def test_a_metric_length_reads_back_within_its_rounding(value, doubt):
    """Shown, then read: no farther off than half of the last place shown."""
    text = show.length(value, system="metric")
    assert abs(read(text, "length").value - value) <= 0.05e-3 * (1 + 1e-9)

    text = show.length(value, system="metric", doubt=doubt)
    quantity = read(text, "length")
    slack = float(last_place(text.partition("± ")[2])) * 1e-3 * (1 + 1e-9)
    assert abs(quantity.value - value) <= slack
    assert abs(quantity.doubt - doubt) <= slack


@given(lengths, st.none() | doubts)
def test_an_inch_length_reads_back_from_its_brackets(value, doubt):
    """Both decimals, inches and millimetres, say the same as the value."""
    text = show.length(value, system="inch", doubt=doubt)
    inches, millimetres = re.search(r"\((.*), (.*)\)", text).groups()
    for part in inches, millimetres:
        size = 1e-3 if part is millimetres else INCH
        last = last_place((part.partition("± ")[2]) or part) if doubt else None
        slack = float(last) * size if doubt else (0.0005 * INCH, 5e-6)[size == 1e-3]
        assert abs(read(part, "length").value - value) <= slack * (1 + 1e-9)


@pytest.mark.parametrize(("function", "kind", "low", "high"), AMOUNTS)
@pytest.mark.parametrize("system", ["inch", "metric"])
def test_amounts_read_back_within_their_rounding(function, kind, low, high, system):
    """Three or four digits without a doubt; with one, half of its last place."""
    for value in np.geomspace(low, high, 60):
        text = function(float(value), system=system)
        assert read(text, kind).value == pytest.approx(value, rel=5.001e-3)
        if kind not in ("frequency", "energy"):
            assert read(text, kind).value == pytest.approx(value, rel=5.001e-4)

        quantity = read(function(value, system=system, doubt=value / 30), kind)
        assert abs(quantity.value - value) <= quantity.doubt / 2
        assert quantity.doubt == pytest.approx(value / 30, rel=0.34)


@pytest.mark.parametrize(("function", "kind", "low", "high"), AMOUNTS)
def test_both_gives_the_same_twice(function, kind, low, high):
    """The metric figure in brackets is what a metric car would see."""
    value = math.sqrt(low * high)
    text = function(value, system="inch", both=True)
    metric = function(value, system="metric", both=True)

    assert "(" not in metric
    assert text.endswith(f"({metric})") or text == metric


# The tape --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("inches", "text"),
    [
        (15.625, "15 5/8 in"),
        (15.6265, "15 5/8 in"),
        (15.634, "15 5/8 in, a shade full"),
        (15.616, "15 5/8 in, a shade scant"),
        (15.635, "15 5/8 in, a shade full"),
        (15.636, "15 5/8 in, full"),
        (15.612, "15 5/8 in, scant"),
        (15.65, "15 21/32 in, a shade scant"),
        (15 + 31.9 / 32, "16 in, a shade scant"),
        (15 + 31.4 / 32, "15 31/32 in, full"),
        (15.9999, "16 in"),
        (12.0, "12 in"),
        (36.0, "36 in"),
        (0.5, "1/2 in"),
        (1 / 32, "1/32 in"),
        (0.0, "0 in"),
        (-0.0, "0 in"),
        (-0.0005, "0 in"),
        (0.008, "a shade over 0 in"),
        (-0.008, "a shade under 0 in"),
        (-15.625, "−15 5/8 in"),
        (-15.634, "−15 5/8 in, a shade full"),
        (-0.49, "−1/2 in, a shade scant"),
    ],
)
def test_the_tape_is_read_as_a_mechanic_reads_it(inches, text):
    """The words and their limits are ours (common practice, no source)."""
    assert show.tape(inches * INCH) == text


@pytest.mark.parametrize(
    ("doubt", "text"),
    [
        (0.0, "15 5/8 in, a shade full"),
        (1 / 64, "15 5/8 in, a shade full"),
        (1 / 50, "about 15 5/8 in"),
        (1 / 16, "about 15 5/8 in"),
        (1 / 6, "about 15 5/8 in"),
        (1 / 4, "about 15 3/4 in"),
        (1 / 3, "about 15 3/4 in"),
        (0.9, "about 15 1/2 in"),
        (7.0, "about 16 in"),
    ],
)
def test_a_wide_doubt_takes_the_words_away(doubt, text):
    assert show.tape(15.634 * INCH, doubt=doubt * INCH) == text


@given(lengths)
def test_the_tape_is_never_more_than_a_64th_off(value):
    """The fraction is the nearest 32nd, reduced, and feet are never used."""
    text = show.tape(value)
    shown = re.search(r"−?[0-9][0-9/ ]* in", text)[0]

    quantity = read(shown, "length")
    assert abs(quantity.value - value) <= INCH / 64 * (1 + 1e-9)
    assert "ft" not in text
    whole_thirtyseconds = Fraction(quantity.value) / Fraction(INCH) * 32
    assert abs(whole_thirtyseconds - round(whole_thirtyseconds)) < 1e-9
    assert shown == mixed(Fraction(round(whole_thirtyseconds), 32)) + " in"


@given(lengths)
def test_the_word_says_which_side_and_how_far(value):
    """By exact fractions of the number itself."""
    inches = abs(Fraction(value)) / Fraction("0.0254")
    mark = Fraction(round(inches * 32), 32)
    rest = inches - mark

    text = show.tape(value)

    if mark:
        assert ("full" in text) <= (rest > 0)
        assert ("scant" in text) <= (rest < 0)
        assert ("shade" in text) <= (abs(rest) < Fraction("0.01001"))
    if not {"full", "scant", "over", "under"} & set(text.replace(",", "").split()):
        assert abs(rest) * Fraction("25.4") < Fraction("0.05001")


# One by one ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # The design position of an invented car, worked out beforehand.
        (show.angular_rate(1975.14791, system="metric"), "34.47 N·m/deg"),
        (show.torque(918.22530, system="metric"), "918.2 N·m"),
        (show.stress(410.55544e6, system="metric"), "410.6 MPa"),
        (show.angle(-26.63620 * DEGREE), "−26.64°"),
        (show.angle(0.6 * DEGREE, doubt=0.12 * DEGREE), "0.60° ± 0.12°"),
        (show.angle(-1e-9), "0.00°"),
        (show.linear_rate(14570.02, system="metric"), "14.57 N/mm"),
        (show.linear_rate(110 * LBF / INCH, system="inch"), "110.0 lbf/in"),
        (show.stress(60e3 * PSI, system="inch"), "60000 psi"),
        (show.force(99_999.0, system="metric"), "100000 N"),
        (show.force(0.0, system="metric"), "0 N"),
        (show.mass(0.4996, system="metric"), "0.4996 kg"),
        (show.frequency(72 / 60, system="inch", both=True), "1.20 Hz"),
        (show.energy(1000.0, system="inch", both=True), "738 ft·lbf (1000 J)"),
        (show.length(0.0, system="metric"), "0.0 mm"),
        (show.length(-1e-9, system="metric"), "0.0 mm"),
        (show.length(-0.0254, system="inch"), "−1 in (−1.000 in, −25.40 mm)"),
        (show.length(0.3971, system="metric", fine=True), "397.10 mm"),
        (
            show.length(0.3971, system="inch", fine=True, doubt=2e-5),
            "15.6339 in ± 0.0008 in (397.10 mm ± 0.02 mm)",
        ),
        (show.length(np.float64(0.3971), system="metric"), "397.1 mm"),
        (show.length(0.3971, system="metric", doubt=0.0), "397.1 mm"),
    ],
)
def test_numbers_are_written_so(text, expected):
    assert text == expected


@pytest.mark.parametrize(
    ("share", "text"),
    [
        (0.0, "0 %"),
        (-0.0, "0 %"),
        (1.0, "100 %"),
        (1e-300, "under 0.01 %"),
        (0.00009, "under 0.01 %"),
        (0.0001, "0.010 %"),
        (0.00449, "0.45 %"),
        (0.0256, "2.6 %"),
        (0.0999, "10 %"),
        (0.68, "68 %"),
        (0.994, "99 %"),
        (0.995, "99.5 %"),
        (0.9971, "99.7 %"),
        (0.9995, "just under 100 %"),
        (0.9999999, "just under 100 %"),
        (1.0000001, "just over 100 %"),
        (1.003, "100.3 %"),
        (1.24, "124 %"),
        (-0.3, "−30 %"),
        (-1e-9, "between −0.01 % and 0 %"),
    ],
)
def test_shares_are_written_so(share, text):
    assert show.percent(share) == text


@given(st.floats(0.0, 1.0))
def test_only_nothing_is_0_and_only_all_is_100_per_cent(share):
    """A small risk is not no risk, and the edge of a limit not the limit."""
    text = show.percent(share)
    assert (text == "0 %") == (share == 0.0)
    assert (text == "100 %") == (share == 1.0)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (show.change(0.0041, "length", system="metric"), "+4.1 mm"),
        (show.change(-0.0041, "length", system="metric"), "−4.1 mm"),
        (show.change(0.00001, "length", system="metric"), "0.0 mm"),
        (show.change(0.0988, "length", system="inch"), "+3.89 in (+98.8 mm)"),
        (
            show.change(0.0988, "length", system="metric", doubt=0.002),
            "+99 mm ± 2 mm",
        ),
        (
            show.change(0.0001, "length", system="metric", doubt=0.003),
            "0 mm ± 3 mm",
        ),
        (show.change(0.6 * DEGREE, "angle", system="inch"), "+0.60°"),
        (show.change(-5e6, "pressure", system="metric"), "−5.000 MPa"),
        (show.change(20.0, "mass", system="inch"), "+44.09 lb"),
    ],
)
def test_changes_have_their_sign(text, expected):
    assert text == expected


@given(lengths, systems)
def test_a_change_is_the_opposite_of_its_opposite(value, system):
    """Only the signs differ."""
    there = show.change(value, "length", system=system)
    back = show.change(-value, "length", system=system)
    assert there == back.translate(str.maketrans("+−", "−+"))


@given(st.floats(allow_nan=False, allow_infinity=False), st.none() | doubts, systems)
def test_no_number_is_too_large_or_small_to_write(value, doubt, system):
    """And nothing is ever written as −0."""
    texts = [
        show.length(value, system=system, doubt=doubt),
        show.angle(value, doubt=doubt),
        show.stress(value, system=system, doubt=doubt, both=True),
        show.percent(value / 100),
    ]
    for text in texts:
        assert not re.search(r"−0(\.0+)?(?![.0-9])(?! in)", text.replace("−0.01 %", ""))
        assert "e" not in text.lower().replace("shade", "").replace("over", "").replace(
            "under", ""
        ).replace("between", "").replace("/deg", "")


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_refused(bad):
    """A face must not print nan as a result."""
    calls = [
        lambda: show.length(bad, system="inch"),
        lambda: show.tape(bad),
        lambda: show.angle(bad),
        lambda: show.percent(bad),
        lambda: show.change(bad, "length", system="metric"),
        lambda: show.force(bad, system="metric", doubt=1.0),
    ]
    for call in calls:
        with pytest.raises(
            QuantityError, match=r"value must be finite; got -?(nan|inf)"
        ):
            call()
    with pytest.raises(QuantityError, match="doubt must be finite"):
        show.length(0.1, system="metric", doubt=abs(bad))


def test_a_doubt_below_zero_is_refused():
    with pytest.raises(QuantityError, match=r"doubt must be not below 0; got -0\.1"):
        show.angle(0.1, doubt=-0.1)


def test_the_page_tells_what_is_written():
    """Each row of the page's last table is a call and its answer."""
    lines = PAGE.read_text(encoding="utf-8").splitlines()
    table = lines[lines.index("| asked for | written |") + 2 :]
    assert len(table) > 10
    for line in table:
        call, written = (cell.strip() for cell in line.strip("|").split("|"))
        name, arguments = re.fullmatch(r"`(\w+)\((.*)\)`", call).groups()
        answer = eval(f"{name}({arguments})", {name: getattr(show, name)})
        assert answer == written
