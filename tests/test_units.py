"""What may be typed, against print, an independent library and Python's own fractions.

Sources
-------
SP 811
    A. Thompson and B. N. Taylor, *Guide for the Use of the International System of
    Units*, NIST Special Publication 811 (2008), Appendix B.8, factors for units listed
    alphabetically.  From memory; the page was not seen.
Act
    Weights and Measures Act 1985 (United Kingdom), Schedule 1: stone, quarter and
    hundredweight in pounds.  From memory; the page was not seen.
scipy.constants
    A general-purpose library's table, which shares nothing with ours.
"""

import math
import random
import re
import subprocess
import sys
import timeit
import unicodedata
from fractions import Fraction
from pathlib import Path

import pytest
import scipy.constants
from hypothesis import example, given
from hypothesis import strategies as st

from cited import INCH, LBF, PSI, printed
from splinewise.errors import TextError
from splinewise.units import KINDS, Quantity, mixed, read, read_any, scale

PAGE = Path(__file__).parent.parent / "docs" / "reference" / "quantities.md"
TENTH = Fraction(254, 10000)  # one inch in metres


def refusal(text, kinds):
    with pytest.raises(TextError) as caught:
        read_any(text, (kinds,) if isinstance(kinds, str) else kinds)
    assert caught.value.text == text
    return str(caught.value)


# What each unit is -----------------------------------------------------------------


@pytest.mark.cited
@pytest.mark.parametrize(
    ("unit", "kind", "factor"),
    [
        ("in", "length", "2.54e-2"),
        ("ft", "length", "3.048e-1"),
        ("thou", "length", "2.54e-5"),
        ("deg", "angle", "1.745329e-2"),
        ("arcmin", "angle", "2.908882e-4"),
        ("arcsec", "angle", "4.848137e-6"),
        ("lb", "mass", "4.535924e-1"),
        ("oz", "mass", "2.834952e-2"),
        ("cwt", "mass", "5.080235e1"),
        ("lbf", "force", "4.448222"),
        ("kgf", "force", "9.80665"),
        ("kp", "force", "9.80665"),
        ("lbf·ft", "torque", "1.355818"),
        ("lbf·in", "torque", "1.129848e-1"),
        ("kgf·m", "torque", "9.80665"),
        ("lbf/in", "linear rate", "1.751268e2"),
        ("psi", "pressure", "6.894757e3"),
        ("ksi", "pressure", "6.894757e6"),
        ("kgf/mm2", "pressure", "9.80665e6"),
        ("kgf/cm2", "pressure", "9.80665e4"),
        ("bar", "pressure", "1.0e5"),
        ("ft·lbf", "energy", "1.355818"),
    ],
)
def test_factors_of_the_guide(unit, kind, factor):
    """SP 811, Appendix B.8; the cwt there is the long one, of 112 lb."""
    assert scale(unit, kind) == printed(factor)


@pytest.mark.cited
@pytest.mark.parametrize(("unit", "pounds"), [("st", 14), ("qr", 28), ("cwt", 112)])
def test_long_weights(unit, pounds):
    """The stone, the quarter and the hundredweight of the Act, in pounds."""
    assert read(f"1 {unit}", "mass").value == read(f"{pounds} lb", "mass").value


@pytest.mark.independent
@pytest.mark.parametrize(
    ("unit", "kind", "constant"),
    [
        ("in", "length", scipy.constants.inch),
        ("ft", "length", scipy.constants.foot),
        ("thou", "length", scipy.constants.mil),
        ("µm", "length", scipy.constants.micron),
        ("deg", "angle", scipy.constants.degree),
        ("arcmin", "angle", scipy.constants.arcmin),
        ("arcsec", "angle", scipy.constants.arcsec),
        ("lb", "mass", scipy.constants.pound),
        ("oz", "mass", scipy.constants.oz),
        ("st", "mass", scipy.constants.stone),
        ("cwt", "mass", scipy.constants.long_ton / 20),
        ("t", "mass", scipy.constants.metric_ton),
        ("lbf", "force", scipy.constants.lbf),
        ("kgf", "force", scipy.constants.kgf),
        ("psi", "pressure", scipy.constants.psi),
        ("bar", "pressure", scipy.constants.bar),
        ("°F", "temperature", scipy.constants.degree_Fahrenheit),
    ],
)
def test_factors_of_an_independent_table(unit, kind, constant):
    """scipy.constants has the same sizes, to the last digit or the one before."""
    assert scale(unit, kind) == pytest.approx(constant, rel=1e-15)


@pytest.mark.independent
@pytest.mark.parametrize("text", ["20 °C", "-40 °F", "68 F", "-5 C", "293.15 K"])
def test_temperatures_of_an_independent_library(text):
    """scipy.constants.convert_temperature gives the same kelvins."""
    number, unit = text.split()
    name = {"C": "C", "F": "F", "K": "K"}[unit[-1]]
    kelvin = scipy.constants.convert_temperature(float(number), name, "K")
    assert read(text, "temperature").value == pytest.approx(kelvin, rel=1e-15)


# What may be typed -----------------------------------------------------------------

FIVE_EIGHTHS = 0.396875  # m; 15 5/8 in, exact

READ = [
    ("length", "15 5/8 in", FIVE_EIGHTHS, INCH / 8, "in"),
    ("length", '15-5/8"', FIVE_EIGHTHS, INCH / 8, "in"),
    ("length", "15⅝″", FIVE_EIGHTHS, INCH / 8, "in"),
    ("length", '15⅝"', FIVE_EIGHTHS, INCH / 8, "in"),
    ("length", "15⅝ in", FIVE_EIGHTHS, INCH / 8, "in"),
    ("length", "15-⅝ inches", FIVE_EIGHTHS, INCH / 8, "in"),
    ("length", "15 5⁄8 IN.", FIVE_EIGHTHS, INCH / 8, "in"),
    ("length", "15–5/8-in", FIVE_EIGHTHS, INCH / 8, "in"),
    ("length", "1 ft 3 5/8 in", FIVE_EIGHTHS, INCH / 8, "in"),
    ("length", "1ft3⅝in", FIVE_EIGHTHS, INCH / 8, "in"),
    ("length", "1' 3 5/8\"", FIVE_EIGHTHS, INCH / 8, "in"),
    ("length", "1’-3 5/8”", FIVE_EIGHTHS, INCH / 8, "in"),
    ("length", "1' 3 5/8''", FIVE_EIGHTHS, INCH / 8, "in"),
    ("length", "15⅝′′", FIVE_EIGHTHS, INCH / 8, "in"),
    ("length", "15.625 in", FIVE_EIGHTHS, INCH / 1000, "in"),
    ("length", "15 in", 0.381, INCH, "in"),
    ("length", "15 40/64 in", FIVE_EIGHTHS, INCH / 64, "in"),
    ("length", ".5 in", 0.0127, INCH / 10, "in"),
    ("length", "397 mm", 0.397, 1e-3, "mm"),
    ("length", "397,5 mm", 0.3975, 1e-4, "mm"),
    ("length", "397.5mm", 0.3975, 1e-4, "mm"),
    ("length", "  397.50 \t mm ", 0.3975, 1e-5, "mm"),
    ("length", "39.75 cm", 0.3975, 1e-4, "cm"),
    ("length", "0.397 m", 0.397, 1e-3, "m"),
    ("length", "1,234 mm", 0.001234, 1e-6, "mm"),
    ("length", "-397 mm", -0.397, 1e-3, "mm"),
    ("length", "−15 5/8 in", -FIVE_EIGHTHS, INCH / 8, "in"),
    ("length", "-1 ft 3 5/8 in", -FIVE_EIGHTHS, INCH / 8, "in"),
    ("length", "+3 mm", 0.003, 1e-3, "mm"),
    ("length", "5 thou", 0.000127, 2.54e-5, "thou"),
    ("length", "20 μm", 2e-5, 1e-6, "µm"),
    ("angle", "4.5 deg", math.pi / 40, math.pi / 1800, "deg"),
    ("angle", "4.5°", math.pi / 40, math.pi / 1800, "deg"),
    ("angle", "4 1/2º", math.pi / 40, math.pi / 360, "deg"),
    ("angle", "4° 30'", math.pi / 40, math.pi / 10800, "arcmin"),
    ("angle", "4°30′", math.pi / 40, math.pi / 10800, "arcmin"),
    ("angle", "4 deg 30 min", math.pi / 40, math.pi / 10800, "arcmin"),
    ("angle", "4° 30' 0\"", math.pi / 40, math.pi / 648000, "arcsec"),
    ("angle", "4° 30′ 36″", 4.51 * math.pi / 180, math.pi / 648000, "arcsec"),
    ("angle", "-4° 30'", -math.pi / 40, math.pi / 10800, "arcmin"),
    ("angle", "−0.3 rad", -0.3, 0.1, "rad"),
    ("mass", "2 cwt 1 qr", 252 * 0.45359237, 28 * 0.45359237, "qr"),
    ("mass", "2 cwt 1 qr 3 lb", 255 * 0.45359237, 0.45359237, "lb"),
    ("mass", "5 st 3 lb", 73 * 0.45359237, 0.45359237, "lb"),
    ("mass", "592 lb", 592 * 0.45359237, 0.45359237, "lb"),
    ("mass", "592 1/2 lbs", 592.5 * 0.45359237, 0.45359237 / 2, "lb"),
    ("mass", "268.8 kg", 268.8, 0.1, "kg"),
    ("force", "592 lbf", 592 * LBF, LBF, "lbf"),
    ("force", "2.6 kN", 2600.0, 100.0, "kN"),
    ("torque", "13 lbf·ft", 156 * LBF * INCH, 12 * LBF * INCH, "lbf·ft"),
    ("torque", "13 lbf ft", 156 * LBF * INCH, 12 * LBF * INCH, "lbf·ft"),
    ("torque", "13 lb-ft", 156 * LBF * INCH, 12 * LBF * INCH, "lbf·ft"),
    ("torque", "13 ft. lb.", 156 * LBF * INCH, 12 * LBF * INCH, "lbf·ft"),
    ("torque", "13 ft.lbf", 156 * LBF * INCH, 12 * LBF * INCH, "lbf·ft"),
    ("torque", "18 N·m", 18.0, 1.0, "N·m"),
    ("torque", "18 N⋅m", 18.0, 1.0, "N·m"),
    ("torque", "18 N m", 18.0, 1.0, "N·m"),
    ("torque", "18Nm", 18.0, 1.0, "N·m"),
    ("torque", "-18 Nm", -18.0, 1.0, "N·m"),
    ("torque", "8 mkg", 8 * 9.80665, 9.80665, "kgf·m"),
    ("linear rate", "110 lbf/in", 110 * LBF / INCH, LBF / INCH, "lbf/in"),
    ("linear rate", "110 lb. per in.", 110 * LBF / INCH, LBF / INCH, "lbf/in"),
    ("linear rate", "14.6 N/mm", 14600.0, 100.0, "N/mm"),
    ("angular rate", "1975 N·m/rad", 1975.0, 1.0, "N·m/rad"),
    ("angular rate", "34 N·m/deg", 34 * 180 / math.pi, 180 / math.pi, "N·m/deg"),
    ("angular rate", "34 Nm/°", 34 * 180 / math.pi, 180 / math.pi, "N·m/deg"),
    ("pressure", "32 psi", 32 * PSI, PSI, "psi"),
    ("pressure", "32 lb/sq in", 32 * PSI, PSI, "lbf/in2"),
    ("pressure", "32 lbf/in²", 32 * PSI, PSI, "lbf/in2"),
    ("pressure", "2.2 bar", 2.2e5, 1e4, "bar"),
    ("pressure", "78.5 GPa", 78.5e9, 1e8, "GPa"),
    ("pressure", "11.2e6 psi", 11.2e6 * PSI, 1e5 * PSI, "psi"),
    ("pressure", "1,12E+7 psi", 11.2e6 * PSI, 1e5 * PSI, "psi"),
    ("pressure", "800 N/mm2", 8e8, 1e6, "N/mm2"),
    ("pressure", "60 kp / mm^2", 60 * 9.80665e6, 9.80665e6, "kp/mm2"),
    ("pressure", "60 kgf/mm²", 60 * 9.80665e6, 9.80665e6, "kgf/mm2"),
    ("frequency", "1.2 Hz", 1.2, 0.1, "Hz"),
    ("frequency", "90 /min", 1.5, 1 / 60, "/min"),
    ("frequency", "90 1/min", 1.5, 1 / 60, "/min"),
    ("frequency", "90 min⁻¹", 1.5, 1 / 60, "/min"),
    ("frequency", "90 per minute", 1.5, 1 / 60, "/min"),
    ("temperature", "20 °C", 293.15, 1.0, "°C"),
    ("temperature", "20 ℃", 293.15, 1.0, "°C"),
    ("turns", "1 1/2 turns", 1.5, 0.5, "turn"),
    ("turns", "-1/6 turn", -1 / 6, 1 / 6, "turn"),
    ("energy", "500 J", 500.0, 1.0, "J"),
    ("energy", "10 ft-lb", 120 * LBF * INCH, 12 * LBF * INCH, "ft·lbf"),
    ("number", "0.6", 0.6, 0.1, ""),
    ("number", "2/3", 2 / 3, 1 / 3, ""),
    ("number", "60 %", 0.6, 0.01, "%"),
]


@pytest.mark.parametrize(("kind", "text", "value", "step", "unit"), READ)
def test_what_people_write_is_read(kind, text, value, step, unit):
    """Each spelling gives the SI value, the step that it shows and its last unit."""
    quantity = read(text, kind)

    assert quantity == Quantity(
        value=pytest.approx(value, rel=4e-16, abs=0.0),
        doubt=None,
        kind=kind,
        unit=unit,
        text=text,
        step=pytest.approx(step, rel=4e-16, abs=0.0),
    )


@pytest.mark.parametrize(
    ("text", "kind", "doubt"),
    [
        ("15 5/8 in ± 1/64 in", "length", INCH / 64),
        ("15 5/8 in ± 1/64", "length", INCH / 64),
        ("15⅝″±1/64", "length", INCH / 64),
        ("15 5/8 in +/- 0.5 mm", "length", 0.0005),
        ("397 mm +- 0,3", "length", 0.0003),
        ("397 mm +/− 0.3", "length", 0.0003),
        ("1 ft 3 5/8 in ± 1/64 in", "length", INCH / 64),
        ("4.5° ± 15'", "angle", math.pi / 720),
        ("0.3 rad ± 1 deg", "angle", math.pi / 180),
        ("78.5 GPa ± 800 MPa", "pressure", 8e8),
        ("20 °C ± 2", "temperature", 2.0),
        ("68 °F ± 9 °F", "temperature", 5.0),
        ("25 % ± 2", "number", 0.02),
        ("1.5 ± 0.1", "number", 0.1),
    ],
)
def test_doubt_is_a_half_width_in_si(text, kind, doubt):
    """In its own unit, or in the only unit of the value where it has none."""
    assert read(text, kind).doubt == pytest.approx(doubt, rel=4e-16)


@pytest.mark.parametrize(
    ("text", "kinds", "kind"),
    [
        ("592 lb", ("mass", "force"), "mass"),
        ("592 lbf", ("mass", "force"), "force"),
        ("2 cwt 1 qr", ("force", "mass"), "mass"),
        ("10 ft lb", ("energy", "torque"), "energy"),
        ("10 ft lb", ("torque", "energy"), "torque"),
        ("4' 30\"", ("angle", "length"), "angle"),
        ("14.6 N/mm", ("angular rate", "linear rate"), "linear rate"),
    ],
)
def test_the_first_kind_that_fits_is_taken(text, kinds, kind):
    assert read_any(text, kinds).kind == kind


def test_the_smallest_doubt_of_two_kinds_keeps_to_the_kind_read():
    """A load in kilograms cannot have a doubt in newtons."""
    message = refusal("268.8 kg ± 10 N", ("mass", "force"))
    assert message.startswith("10 N is a force; a mass is wanted.")


# What is refused -------------------------------------------------------------------

LENGTH = "Write a length as 15 5/8 in or 397 mm."
ANGLE = "Write an angle as 4.5 deg or 4° 30'."
TAPE = "A tape carries 2, 4, 8, 16, 32, 64 there."
WORST = "in +0.2/-0.1 mm"

REFUSED = [
    # fractions
    ("15 5/7 in", "The tape cannot show 15 5/7 in. Did you mean 15 5/8 in?"),
    ('15-5/7"', 'The tape cannot show 15-5/7". Did you mean 15 5/8 in?'),
    ("-15 5/7 in", "The tape cannot show -15 5/7 in. Did you mean -15 5/8 in?"),
    ("15 1/3 in", "The tape cannot show 15 1/3 in. Did you mean 15 11/32 in?"),
    ("15⅔ in", "The tape cannot show 15 2/3 in. Did you mean 15 21/32 in?"),
    ("15 3/10 in", "The tape cannot show 15 3/10 in. Did you mean 15 5/16 in?"),
    ("15 1/128 in", "The tape cannot show 15 1/128 in. Did you mean 15 in?"),
    ("12 9/7", "The tape cannot show 12 9/7. Did you mean 13 9/32 in?"),
    ("12 9/7 in", "The tape cannot show 12 9/7 in. Did you mean 13 9/32 in?"),
    (
        "12 9/8 in",
        "The fraction in 12 9/8 in is not below one. Did you mean 13 1/8 in?",
    ),
    ("12 8/8 in", "The fraction in 12 8/8 in is not below one. Did you mean 13 in?"),
    ("9/8 in", "The fraction in 9/8 in is not below one. Did you mean 1 1/8 in?"),
    (
        "15 5/0 in",
        f"15 5/0 in has 0 below the line, where it can never be. {TAPE}",
    ),
    ("15 5/0", f"15 5/0 has 0 below the line, where it can never be. {TAPE}"),
    (
        "397 1/2 mm",
        "mm takes no fractions, and 397 1/2 mm has one. Write a decimal: 397.5 mm.",
    ),
    (
        "397 1/3 mm",
        (
            "mm takes no fractions, and 397 1/3 mm has one. "
            "Write a decimal: about 397.3333 mm."
        ),
    ),
    ("15 5/8 ft", "ft is not divided as in 15 5/8 ft. Write a decimal: 15.625 ft."),
    # numbers
    (
        "1.5 5/8 in",
        "1.5 5/8 in mixes a decimal and a fraction. Write one or the other. " + LENGTH,
    ),
    (
        "5.5/8 in",
        "5.5/8 in mixes a decimal and a fraction. Write one or the other. " + LENGTH,
    ),
    (
        "15 5 8 in",
        "15 5 8 in has two numbers with no unit between them. Did you mean 15 5/8 in?",
    ),
    ("⅙4 in", f"1/6 4 in has two numbers with no unit between them. {LENGTH}"),
    (
        "1e16 mm",
        (
            "1e16 is beyond anything that is measured. "
            "Give a power of ten from -15 to 15."
        ),
    ),
    ("15 5 in", f"15 5 in has two numbers with no unit between them. {LENGTH}"),
    (
        "15 5/8/2 in",
        f"15 5/8/2 in has two numbers with no unit between them. {LENGTH}",
    ),
    (
        "15 ⅝⅝ in",
        f"15 5/8 5/8 in has two numbers with no unit between them. {LENGTH}",
    ),
    (
        "1,234.5 mm",
        "1,234.5 has more than one decimal mark. Did you mean 1234.5 mm?",
    ),
    (
        "1.234,5 mm",
        "1.234,5 has more than one decimal mark. Did you mean 1234.5 mm?",
    ),
    (
        "-1,234.5 mm",
        "1,234.5 has more than one decimal mark. Did you mean -1234.5 mm?",
    ),
    (
        "−15 - 5/8 in",
        (
            "In 15 - 5/8 in the sign between the numbers has no one meaning. "
            "Did you mean -15 5/8 in?"
        ),
    ),
    (
        "1,234,567 mm",
        "1,234,567 has more than one decimal mark. Did you mean 1234567 mm?",
    ),
    (
        "1.2.3 mm",
        (
            "1.2.3 has more than one decimal mark. "
            "Write one decimal mark, and nothing between thousands."
        ),
    ),
    (
        "1 234.5 mm",
        "1 234.5 mm has two numbers with no unit between them. Did you mean 1234.5 mm?",
    ),
    ("397. mm", f"In 397. mm a decimal mark stands alone. {LENGTH}"),
    ("1, 5 mm", f"In 1, 5 mm a decimal mark stands alone. {LENGTH}"),
    ("1 ft.5 in", f".5 in cannot be read. {LENGTH}"),
    (
        "1e999 mm",
        (
            "1e999 is beyond anything that is measured. "
            "Give a power of ten from -15 to 15."
        ),
    ),
    (
        "1" * 26 + " mm",
        "1" * 26 + " has more digits than anything that is measured. Give at most 25.",
    ),
    ("nan mm", f"There is no number in nan mm. {LENGTH}"),
    ("-inf", f"There is no number in inf. {LENGTH}"),
    ("five in", f"There is no number in five in. {LENGTH}"),
    ("-", f"There is no number. {LENGTH}"),
    ("", f"Nothing is written here. {LENGTH}"),
    (" \n ", f"Nothing is written here. {LENGTH}"),
    ("5" * 201, f"201 characters are too many for a length. {LENGTH}"),
    (
        "١٥ mm",
        (
            "“١” in ١٥ mm is not a digit from 0 to 9. "
            "Type the number in digits from 0 to 9."
        ),
    ),
    (
        "１５ mm",
        (
            "“１” in １５ mm is not a digit from 0 to 9. "
            "Type the number in digits from 0 to 9."
        ),
    ),
    (
        "15² mm",
        (
            "“²” in 15² mm is not a digit from 0 to 9. "
            "Type the number in digits from 0 to 9."
        ),
    ),
    # signs
    (
        "15 - 5/8 in",
        (
            "In 15 - 5/8 in the sign between the numbers has no one meaning. "
            "Did you mean 15 5/8 in?"
        ),
    ),
    (
        "15–16 in",
        (
            "In 15-16 in the sign between the numbers has no one meaning. "
            f"For a range write its middle ± half its width. {LENGTH}"
        ),
    ),
    (
        "15 in + 2 mm",
        f"In 15 in + 2 mm the sign between the numbers has no one meaning. {LENGTH}",
    ),
    (
        "397 mm +0.2/-0.1",
        "In 397 mm +0.2/-0.1 the sign between the numbers has no one meaning. "
        + LENGTH,
    ),
    # units
    ("12", "12 has no unit. Write 12 in or 12 mm."),
    ("-12", "-12 has no unit. Write -12 in or -12 mm."),
    ("15 5/8", "15 5/8 has no unit. Write 15 5/8 in."),
    ("5' 3", "3 has no unit. Write 3 in."),
    ("397 nm", "“nm” is not a unit of length. Did you mean mm?"),
    ("75'′", "“''” is not a unit of length. Did you mean '?"),
    ("397 ^mm", "“^mm” is not a unit of length. Did you mean mm?"),
    ("397 M", "“M” is not a unit of length. Did you mean m?"),
    ("15 inc", "“inc” is not a unit of length. Did you mean in?"),
    ("397 furlongs", f"“furlongs” is not a unit of length. {LENGTH}"),
    ("9**9**9**9 mm", f"“**” is not a unit of length. {LENGTH}"),
    (
        "3 mil",
        "In 3 mil the mil may be 0.001 in or, in speech, 1 mm. Write thou or mm.",
    ),
    ("268.8 kg", f"268.8 kg is a mass; a length is wanted. {LENGTH}"),
    ("4.5°", f"4.5° is an angle; a length is wanted. {LENGTH}"),
    ("15 in 16 in", f"16 in cannot follow 15 in. {LENGTH}"),
    ("3 in 1 ft", f"1 ft cannot follow 3 in. {LENGTH}"),
    ("1 ft 20 mm", f"20 mm cannot follow 1 ft. {LENGTH}"),
    ("1 ft 12 in", "12 in after 1 ft is too many. After ft, in must be below 12."),
    (
        "1.5 ft 3 in",
        (
            "1.5 ft has a part of a unit, yet 3 in follows. "
            "Only the last number may be broken."
        ),
    ),
    # doubts
    (
        "397 mm ±",
        f"397 mm ± needs one ±, with a number on each side of it. {LENGTH}",
    ),
    ("± 3 mm", f"± 3 mm needs one ±, with a number on each side of it. {LENGTH}"),
    (
        "397 mm ± 1 ± 2",
        f"397 mm ± 1 ± 2 needs one ±, with a number on each side of it. {LENGTH}",
    ),
    (
        "397 mm ± 0",
        (
            "The doubt of 397 mm ± 0 is not above zero. "
            "Give a half-width above zero, or leave ± out."
        ),
    ),
    (
        "397 mm ± -1",
        (
            "The doubt of 397 mm ± -1 is not above zero. "
            "Give a half-width above zero, or leave ± out."
        ),
    ),
    ("397 mm ± 2 deg", f"2 deg is an angle; a length is wanted. {LENGTH}"),
    (
        "397 mm ± 1/64",
        "mm takes no fractions, and 1/64 mm has one. Write a decimal: about 0.0156 mm.",
    ),
    (
        "1 ft 3 in ± 1/8",
        "The doubt 1/8 has no unit, and the reading has several. Write ± 1/8 in.",
    ),
    ("15 5/8 ± 1/64 in", "15 5/8 has no unit. Write 15 5/8 in."),
]


@pytest.mark.parametrize(("text", "message"), REFUSED)
def test_lengths_are_refused_with_what_would_be_right(text, message):
    """What was read, why it cannot be, what would be right."""
    assert refusal(text, "length") == message


@pytest.mark.parametrize(
    ("text", "kinds", "message"),
    [
        ("4.5", "angle", "4.5 has no unit. Write 4.5 deg or 4.5 rad."),
        ("4 1/2", "angle", "4 1/2 has no unit. Write 4 1/2 deg."),
        ("4° 30", "angle", f"30 has no unit. {ANGLE}"),
        (
            "4° 75'",
            "angle",
            "75' after 4° is too many. After deg, arcmin must be below 60.",
        ),
        (
            "4.5° 30'",
            "angle",
            (
                "4.5° has a part of a unit, yet 30' follows. "
                "Only the last number may be broken."
            ),
        ),
        (
            "4° -30'",
            "angle",
            f"In 4° -30' the sign between the numbers has no one meaning. {ANGLE}",
        ),
        (
            "4 1/5 deg",
            "angle",
            "deg is not divided as in 4 1/5 deg. Write a decimal: 4.2 deg.",
        ),
        ("15 mm", "angle", f"15 mm is a length; an angle is wanted. {ANGLE}"),
        ("4 deg 0.1 rad", "angle", f"0.1 rad cannot follow 4 deg. {ANGLE}"),
        (
            "-5 kg",
            "mass",
            "-5 kg is below zero, as a mass is not. Leave the minus sign out.",
        ),
        (
            "592 lbf",
            "mass",
            "592 lbf is a force; a mass is wanted. For the mass write 592 lb.",
        ),
        (
            "592 lb",
            "force",
            "592 lb is a mass; a force is wanted. For the weight write 592 lbf.",
        ),
        (
            "268.8 kg",
            "force",
            "268.8 kg is a mass; a force is wanted. For the weight write 268.8 kgf.",
        ),
        (
            "5 lb 20 oz",
            "mass",
            "20 oz after 5 lb is too many. After lb, oz must be below 16.",
        ),
        (
            "1 ton",
            "mass",
            (
                "In 1 ton the ton may be 1000 kg, 2240 lb or 2000 lb. "
                "Give it in kg or lb, or as t if it is 1000 kg."
            ),
        ),
        (
            "30 tonf/in2",
            "pressure",
            (
                "In 30 tonf/in2 the ton may be 1000 kg, 2240 lb "
                "or 2000 lb. Write a pressure or stress as 32 psi or 78.5 GPa."
            ),
        ),
        ("78 mpa", "pressure", "“mpa” is not a unit of pressure. Did you mean MPa?"),
        ("78 mPa", "pressure", "“mPa” is not a unit of pressure. Did you mean MPa?"),
        ("5 mN", "torque", "“mN” is not a unit of torque. Did you mean m·N?"),
        (
            "18 Nm 3 Ncm",
            "torque",
            "3 Ncm cannot follow 18 Nm. Write a torque as 13 lbf·ft or 18 N·m.",
        ),
        ("32", "pressure", "32 has no unit. Write 32 psi or 32 bar."),
        (
            "13 lb",
            "torque",
            (
                "13 lb is a mass; a torque is wanted. "
                "Write a torque as 13 lbf·ft or 18 N·m."
            ),
        ),
        (
            "18 Nm 3 Nm",
            "torque",
            "3 Nm cannot follow 18 Nm. Write a torque as 13 lbf·ft or 18 N·m.",
        ),
        (
            "-300 °C",
            "temperature",
            "-300 °C is below absolute zero. Check the sign and the unit.",
        ),
        (
            "1 1/5 turns",
            "turns",
            "turn is not divided as in 1 1/5 turns. Write a decimal: 1.2 turn.",
        ),
        ("1 1/2", "turns", "1 1/2 has no unit. Write 1 1/2 turn."),
        (
            "12 mm",
            "number",
            (
                "12 mm is a length; a plain number is wanted. "
                "Write a plain number as 0.6 or 60 %."
            ),
        ),
        (
            "0.6 ± 5 %",
            "number",
            (
                "In 0.6 ± 5 % one number is in % and the other is "
                "not. Write both the same way."
            ),
        ),
        (
            "1/0",
            "number",
            "1/0 has 0 below the line, where it can never be. Write a decimal.",
        ),
        ("3/2", "number", "The fraction in 3/2 is not below one. Did you mean 1 1/2?"),
        (
            "15 mm",
            ("mass", "force"),
            (
                "15 mm is a length; a mass or a force is wanted. "
                "Write a mass or a force as 592 lb or 268.8 kg or 592 lbf or 2640 N."
            ),
        ),
        (
            "592",
            ("mass", "force"),
            "592 has no unit. Write 592 lb or 592 kg or 592 lbf or 592 N.",
        ),
        (
            "5 qq",
            ("mass", "force"),
            "“qq” is not a unit of mass or force. Did you mean qr?",
        ),
    ],
)
def test_other_kinds_are_refused_with_what_would_be_right(text, kinds, message):
    """What was read, why it cannot be, what would be right."""
    assert refusal(text, kinds) == message


@pytest.mark.parametrize(("text", "message"), REFUSED)
def test_what_is_offered_instead_can_be_read(text, message):
    """Whatever stands after "Did you mean" is itself right, where it is a quantity."""
    offer = re.search(r"Did you mean (.*[0-9].*)\?$", message)
    if offer:
        read(offer[1], "length")
    for example_text in re.findall(r"15 5/8 in|397 mm", message):
        read(example_text, "length")


def test_an_unknown_kind_is_the_programmers_fault():
    with pytest.raises(ValueError, match="kinds must be among length, angle"):
        read("15 in", "lenght")
    with pytest.raises(ValueError, match="kinds must be among"):
        read_any("15 in", ())


def test_nothing_invisible_reaches_a_message():
    """Control characters and long texts are tamed before they are shown."""
    assert refusal("15 \x1b[31mred", "length").startswith("“�[")
    assert len(refusal("15 " + "z" * 190, "length")) < 150


# What must always hold -------------------------------------------------------------

wholes = st.integers(0, 400)
powers = st.sampled_from([2, 4, 8, 16, 32, 64])
joints = st.sampled_from([" ", "-", "  ", "–", " "])
inch_marks = st.sampled_from(
    [" in", "in", '"', "″", "''", " inches", " IN", " in.", "”"]
)


@st.composite
def fractions_below_one(draw):
    under = draw(powers)
    return draw(st.integers(0, under - 1)), under


@given(wholes, joints, fractions_below_one(), inch_marks)
def test_mixed_inches_are_what_fractions_make_of_them(whole, joint, part, mark):
    """Python's own Fraction reads the two words; the inch is 0.0254 m exactly."""
    over, under = part
    quantity = read(f"{whole}{joint}{over}/{under}{mark}", "length")

    exact = sum(Fraction(word) for word in (str(whole), f"{over}/{under}")) * TENTH
    assert quantity.value == float(exact)
    assert quantity.step == float(TENTH / under)


@given(wholes, fractions_below_one())
def test_inches_and_millimetres_are_the_very_same_number(whole, part):
    """A length typed in inches equals the same length typed in millimetres."""
    inches = whole + Fraction(*part)
    thousandths = inches * Fraction("25.4") * 10**7  # 64ths of 25.4 mm end in 7 places
    assert thousandths.denominator == 1
    millimetres = f"{thousandths.numerator // 10**7}.{thousandths.numerator % 10**7:07}"

    typed = read(f"{mixed(inches)} in", "length").value

    assert typed == read(f"{millimetres} mm", "length").value
    assert typed == read(f"{millimetres.replace('.', ',')} mm", "length").value
    if inches >= 12:
        feet = f"{inches // 12} ft {mixed(inches % 12)} in"
        assert typed == read(feet, "length").value


@given(
    st.decimals(0, 10**6, places=4, allow_nan=False),
    st.sampled_from(["mm", "cm", "m", "in", "ft", "thou"]),
    st.sampled_from("-−+ "),
)
def test_decimals_are_what_fractions_make_of_them(number, unit, sign):
    """Python's own Fraction reads the decimal; `scale` is checked against print."""
    value = read(f"{sign}{number} {unit}", "length").value
    size = Fraction(number) * Fraction(repr(scale(unit, "length")))
    assert value == float(-size if sign in "-−" else size)


@given(st.integers(-720, 720), st.integers(0, 59), st.integers(0, 59))
def test_degrees_minutes_and_seconds_add_up(degrees, minutes, seconds):
    """Against the division of the circle into 1 296 000 seconds."""
    count = abs(degrees) * 3600 + minutes * 60 + seconds
    turn = Fraction(-count if degrees < 0 else count, 1_296_000)

    value = read(f"{degrees}° {minutes}' {seconds}\"", "angle").value

    assert value == pytest.approx(float(turn) * 2 * math.pi, rel=4e-16)


@given(st.fractions(0, 1000, max_denominator=64))
def test_mixed_reads_back(number):
    """A fraction that a tape carries, written by `mixed`, is read as itself."""
    if number.denominator & (number.denominator - 1):
        number = Fraction(round(number * 64), 64)
    assert read(f"{mixed(number)} in", "length").value == float(number * TENTH)
    assert read(f"{mixed(-number)} in", "length").value == -float(number * TENTH)


ALPHABET = "0123456789./,-−–+±  ''\"\"°′″½⅝¼⅓eEinftmlbNkgdr·²^⁻¹xµ٣５\n\t\x00"


SIZES = {"mm": 10, "cm": 100, "m": 10000, "in": 254, "ft": 3048}  # tenths of mm


def other_reading(text):
    """Read a length by another road: words, and Python's own Fraction of each.

    Lenient where `read` is strict, so it settles only what a text that was read says.
    """
    text = unicodedata.normalize("NFKC", re.sub("([¼½¾⅛⅝])", r" \1 ", text))
    text = re.sub("[−–]", "-", " ".join(text.lower().split())).replace("⁄", "/")
    text = re.split(r"±|\+/-|\+-", text)[0].replace(",", ".")
    text = re.sub("[\"″”]|''|′′|’’|inch(es)?|ins", " in ", text)
    text = re.sub("[′’']", " ft ", re.sub(r" ?/ ?", "/", text)).strip()
    sign, text = (-1, text[1:]) if text[:1] == "-" else (1, text.lstrip("+"))
    text = re.sub("(?<!e)-", " ", text)
    total = waiting = Fraction(0)
    for word in re.findall(r"(?:\.[0-9]+|[0-9][0-9./]*)(?:e[+-]?[0-9]+)?|[a-z]+", text):
        if word in SIZES:
            total, waiting = total + waiting * SIZES[word], Fraction(0)
        else:
            waiting += Fraction(word)
    assert not waiting
    return float(sign * total / 10000)


def fits(text, kind):
    """Return whether `text` is read; fail on anything but a sound answer."""
    quantity, error = None, None
    try:
        quantity = read(text, kind)
    except TextError as refused:
        error = refused
    if quantity is None:
        assert error.text == text
        assert str(error)[-1] in ".?"
        assert str(error).isprintable()
        assert len(str(error)) < 400
        guess = re.search(r"Did you mean ([0-9].*)\?", error.instead)
        assert guess is None or read(guess[1], kind)
        return False
    assert quantity.text == text
    assert quantity.kind == kind
    assert math.isfinite(quantity.value)
    assert math.isfinite(quantity.step)
    assert quantity.step > 0.0
    assert quantity.doubt is None or 0.0 < quantity.doubt < math.inf
    assert re.search("[0-9¼½¾⅐-⅞]", text)
    # A unit was typed, save where a plain number is wanted.
    assert kind == "number" or re.search("[A-Za-zµμ°º℃℉\"'´`′″‘’“”„]", text)
    if kind == "length" and not re.search("thou|[uµμ][mM]|micron|f[eo]+t|met", text):
        assert quantity.value == other_reading(text)
    return True


def mutate(chance, text):
    """Change, drop, add, double or move a few characters."""
    letters = list(text)
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(letters) + 1)
        match chance.randrange(4):
            case 0:
                letters[at : at + 1] = [chance.choice(ALPHABET)]
            case 1:
                letters[at : at + 1] = []
            case 2:
                letters.insert(at, chance.choice(ALPHABET))
            case 3:
                other = chance.randrange(len(letters) + 1)
                letters[at:at] = letters[other : other + chance.randint(1, 4)]
    return "".join(letters)


def fuzz(count, start):
    """Return how many lengths, and how many others, were read."""
    chance = random.Random(start)
    sound = [(kind, text) for kind, text, *_ in READ]
    bad = [("length", text) for text, _ in REFUSED if len(text) < 100]
    read_well = {True: 0, False: 0}
    for i in range(count):
        if i % 4:
            kind, text = chance.choice(sound + bad)
            text = mutate(chance, text)
        else:
            text = "".join(chance.choices(ALPHABET, k=chance.randint(0, 12)))
            kind = chance.choice(KINDS)
        read_well[kind == "length"] += fits(text, kind)
    return read_well[True], read_well[False]


def test_mutated_text_is_read_or_refused():
    """2,000 random and mutated texts: a sound number or a `TextError`."""
    lengths, others = fuzz(2000, start=1)
    assert 20 < lengths < 500
    assert 20 < others < 500


@pytest.mark.slow
def test_much_mutated_text_is_read_or_refused():
    """60,000 more, of which a thousand are still lengths."""
    lengths, others = fuzz(60_000, start=2)
    assert lengths > 1000
    assert others > 1000


@given(st.text(max_size=30), st.sampled_from(KINDS))
@example("1" * 200, "length")
@example("1e15" + "0" * 190, "number")
@example("0.000000000000000000000001e-15 µm", "length")
@example("9999999999999999999999999e15 GPa", "pressure")
@example("\ud800 mm", "length")
def test_any_text_is_read_or_refused(text, kind):
    """Whatever Unicode holds."""
    fits(text, kind)


@given(
    st.integers(0, 10**6),
    st.integers(0, 10**6),
    st.sampled_from(
        [" ", "  ", ", ", ". ", " , ", "'", "_", " - ", "+", "x", "*", ":"]
    ),
)
def test_two_numbers_are_never_run_together(first, second, between):
    """Nothing but one decimal mark makes one number of two, in any metric unit."""
    text = f"{first}{between}{second} mm"
    with pytest.raises(TextError):
        read(text, "length")


@given(st.integers(0, 99), st.integers(1, 99), st.integers(0, 99))
def test_only_fractions_of_the_tape_are_read(whole, over, under):
    """Read if and only if the denominator is a tape's and the fraction below one."""
    text = f"{whole} {over}/{under} in"
    if under in (2, 4, 8, 16, 32, 64) and over < under:
        assert read(text, "length").value == float(
            (whole + Fraction(over, under)) * TENTH
        )
    else:
        refusal(text, "length")


# The page and the cost -------------------------------------------------------------


def rows(heading):
    """Yield the cells of the table of the page that has such a heading."""
    lines = iter(PAGE.read_text(encoding="utf-8").splitlines())
    for line in lines:
        if line == heading:
            break
    next(lines)
    for line in lines:
        if not line.startswith("|"):
            return
        yield [cell.strip() for cell in line.strip("|").split("|")]


def test_the_page_tells_what_is_read():
    """Each row of the page's first table, by way of a decimal in a plain unit."""
    table = list(rows("| typed | as | is |"))
    assert len(table) > 20
    for typed, kind, plain in table:
        value = read(typed.strip("`"), kind).value
        assert value == pytest.approx(read(plain, kind).value, rel=1e-15), typed


def test_the_page_tells_what_is_refused():
    table = list(rows("| typed | as | you are told |"))
    assert len(table) > 10
    for typed, kind, told in table:
        assert refusal(typed.strip("`"), kind) == told


def test_the_page_names_every_kind_and_unit():
    """Each unit named on the page is read, and each kind and plain unit is named."""
    table = {
        kind: re.findall("`([^`]+)`", units) for kind, units in rows("| kind | units |")
    }
    assert tuple(table) == KINDS
    for kind, units in table.items():
        for unit in units:
            assert read(f"12 {unit}", kind).kind == kind
    for kind in ("length", "angle", "mass", "force", "frequency", "temperature"):
        for name in {read(f"1 {unit}", kind).unit for unit in table[kind]}:
            assert name in table[kind]


def test_neither_numpy_nor_scipy_is_imported():
    """A small command that reads and shows must start cold without them."""
    code = (
        "import sys, splinewise.units, splinewise.show;"
        "splinewise.units.read('15 5/8 in ± 1/64', 'length');"
        "print({'numpy', 'scipy', 'pydantic', 'click'} & set(sys.modules))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
    assert run.stdout.split() == [b"set()"]


@pytest.mark.slow
def test_reading_costs_less_than_50_microseconds():
    """The best of many rounds, so that a busy machine does not decide."""
    for text in ("15 5/8 in", "397,5 mm", "4.5°"):
        kind = "angle" if text == "4.5°" else "length"
        rounds = timeit.repeat(lambda t=text, k=kind: read(t, k), number=200, repeat=40)
        assert min(rounds) / 200 < 50e-6
