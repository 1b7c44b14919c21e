"""Size designations: what is read, what is refused, how sure it is."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from splinewise.core.standing import Standing
from splinewise.core.tyre_size import designation
from splinewise.errors import TextError

INCH = 0.0254


@pytest.mark.parametrize(
    ("text", "width_mm", "aspect", "rim_mm"),
    [
        ("205/65R15", 205, 0.65, 381),
        ("P215/70R15", 215, 0.70, 381),
        ("  p215 / 70 r 15  98S ", 215, 0.70, 381),
        ("LT235/85R16", 235, 0.85, 406.4),
        ("LT235/85R16 120/116Q", 235, 0.85, 406.4),
        ("185/70 HR 14", 185, 0.70, 355.6),
        ("205/70VR15", 205, 0.70, 381),
        ("195/65R15 91V XL", 195, 0.65, 381),
        ("185R14C 102/100R", 185, 0.81, 355.6),
        ("165R15", 165, 0.81, 381),
        ("165 SR 15", 165, 0.81, 381),
        ("165-15", 165, 0.81, 381),
        ("165-400", 165, 0.81, 400),
        ("135x380", 135, 0.81, 380),
        ("225/70R19.5", 225, 0.70, 495.3),
        ("195/65R15 M+S", 195, 0.65, 381),
    ],
)
def test_metric_sizes_are_read(text, width_mm, aspect, rim_mm):
    """However they are spaced and whatever follows."""
    size = designation(text)

    assert size.width == pytest.approx(width_mm / 1000)
    assert size.aspect == pytest.approx(aspect)
    assert size.rim == pytest.approx(rim_mm / 1000)


@pytest.mark.parametrize(
    ("text", "width", "rim"),
    [
        ("7.60-15", 7.60, 15),
        ("5.20-13", 5.20, 13),
        ("5,20 - 13", 5.20, 13),
        ("5.60 x 15", 5.60, 15),
        ("5.60×15", 5.60, 15),
        ("6.00-16 6PR", 6.00, 16),
        ("6.00-16 6 ply", 6.00, 16),
        ("7.50R16", 7.50, 16),
        ("5.60 S 15", 5.60, 15),
        ("5.5-12", 5.50, 12),
    ],
)
def test_inch_marks_are_read(text, width, rim):
    """Point or comma, dash or cross."""
    size = designation(text)

    assert size.width == pytest.approx(width * INCH)
    assert size.rim == pytest.approx(rim * INCH)
    assert size.standing is Standing.MEMORY


@pytest.mark.parametrize(
    "text",
    [
        "",
        "15",
        "205",
        "205/65",
        "205/65R",
        "205/65R15x",
        "205/65R15 seven",
        "205/65R1594H",
        "20565R15",
        "205/65R5",
        "205/06R15",
        "050/65R15",
        "999/65R15",
        "165-350mm",
        "205/65R99",
        "F78-15",
        "31x10.50R15",
        "7.60-15-15",
        "76.0-15",
        "1.60-15",
        "6.40/6.50-13",
        "-205/65R15",
        "205/65R15\n205/65R15",
        "nan",
        "9" * 400,
    ],
)
def test_what_is_no_size_is_refused(text):
    """In words, with an example of what would do; never with a number."""
    with pytest.raises(TextError, match="Write it as on the sidewall") as found:
        designation(text)
    assert found.value.text == text


@given(st.text(alphabet="0123456789./-xR PSH\n٣½", max_size=14))
def test_no_text_is_a_surprise(text):
    """It is read as a tyre of a car, or refused in words."""
    try:
        size = designation(text)
    except TextError:
        return
    assert 0.05 < size.unloaded_radius < 0.7


@given(width=st.integers(125, 355), aspect=st.integers(30, 85), rim=st.integers(10, 22))
def test_every_printed_size_reads_back(width, aspect, rim):
    """Width, aspect and rim, as they were written."""
    size = designation(f"{width}/{aspect}R{rim}")

    assert size.width == pytest.approx(width / 1000)
    assert size.diameter == pytest.approx(
        rim * INCH + 2 * width * aspect / 1e5, abs=1e-12
    )
    assert size.unloaded_radius == size.diameter / 2


def test_what_is_not_printed_is_less_sure():
    """Half ranges: 2 mm with an aspect, more without, most for inch marks."""
    printed, bare, inch = (designation(t) for t in ("165/80R15", "165R15", "6.40-15"))

    assert printed.half_range == pytest.approx(0.002)
    assert printed.standing is Standing.READ
    assert printed.half_range < bare.half_range < inch.half_range < 0.02
    assert bare.standing is Standing.MEMORY
