"""Pictures made of characters: what stands where, and what does not fit."""

import math
import re

import pytest

import cars
from commands import run
from splinewise.cli.pictures import doubt_bars, gauge_bar, ring, travel_line


def test_places_along_a_line():
    above, line, *below = travel_line(
        [(0.0, "low"), (7.5, "ride"), (8.0, "drawn"), (10.0, "high")], width=21
    )

    assert line == "  ┼──────────────●●───┼"
    assert above.startswith("  low")
    assert above.index("ride") < line.index("●") + 3
    # What would touch the name before it stands below the line.
    assert "drawn" in below[0]
    assert " ".join([above, *below]).split() == ["low", "ride", "drawn", "high"]


def test_many_names_at_one_place_all_stand_somewhere():
    marks = [
        (0.0, "a long name"),
        *((1.0, f"name {i}") for i in range(5)),
        (1.1, "end"),
    ]

    rows = travel_line(marks, width=30)

    told = "\n".join(rows)
    assert all(name in told for _, name in marks)
    assert all(len(row) <= 80 for row in rows)


def test_a_line_needs_two_places():
    assert travel_line([(0.0, "low"), (math.nan, "ride")]) == []
    assert len(travel_line([(1.0, "low"), (1.0, "high")])) >= 2


@pytest.mark.parametrize(
    ("teeth", "clockwise", "lower"),
    [
        (3, "bump", "      ▲ → → △"),
        (3, "droop", "  △ ← ← ▲"),
        (-3, "bump", "  △ ← ← ▲"),
        (-1, "droop", "      ▲ △"),
    ],
)
def test_a_move_along_a_ring(teeth, clockwise, lower):
    upper, marks = ring(24, teeth, clockwise=clockwise)

    assert upper.replace(" ", "") == "│" * ((len(upper) + 1) // 2)
    assert marks.strip() == lower.strip()
    # The marked tooth is the middle one, whichever way it goes.
    assert marks.index("▲") == len(upper) // 2
    assert abs(marks.index("△") - marks.index("▲")) == 2 * abs(teeth)


def test_a_ring_draws_no_more_teeth_than_it_has():
    for count in (6, 7, 24):
        upper, _ = ring(count, 2, clockwise="bump")
        # With an even count the two ends are the same tooth.
        assert upper.count("│") <= count + (count % 2 == 0)
    assert ring(100, 40, clockwise="bump") == ["(too many teeth to draw: 40 of 100)"]


def test_values_with_their_doubt_on_one_scale():
    wide, sure, ends = doubt_bars(
        [("one", 0.0, 1.0), ("two", 1.0, 0.0), ("none", math.nan, 1.0)],
        ends=lambda v: f"{v:g}",
        width=30,
    )

    assert re.fullmatch(r"  one  ├─+●─+┤", wide)
    assert sure.startswith("  two")
    assert sure.index("●") == wide.index("┤")
    assert ends.split() == ["-1", "1"]


def test_nothing_to_draw():
    assert doubt_bars([("none", math.nan, 1.0)]) == []
    assert len(doubt_bars([("one", 5.0, 0.0)])) == 1


def test_a_gauge_bar_with_a_length_too_long_for_its_line():
    short = gauge_bar("433.0 mm", "a", "b")
    long = gauge_bar("about " * 15, "a" * 90, "b" * 90)

    assert " 433.0 mm " in short[3]
    assert short[-1].endswith("b")
    assert "about" not in long[3]
    assert long[4].strip() == ("about " * 15).strip()
    assert "…" in long[-2]
    assert "…" in long[-1]


# --- sentences that only some cars bring out


def test_a_gauge_without_a_tolerance(tmp_path):
    text = cars.edited(cars.demo_text("van"), ('tolerance = "6 mm"\n', ""))
    file = tmp_path / "car.toml"
    file.write_text(text, encoding="utf-8")

    done = run("gauge", file, "left", "--span", "446.2 mm", "--land", "421.9 mm")

    assert done.code == 1
    told = re.sub(r"\s+", " ", done.out)
    assert (
        "Give --tolerance, or a tolerance in the car file, to have that judged." in told
    )


def test_a_gauge_that_puts_the_car_on_a_stop():
    done = run("gauge", "demo:van", "left", "--span", "500 mm", "--land", "476 mm")

    assert done.code == 1
    assert "With it the car would sit on a stop. Make it again." in done.out


def test_a_move_that_ends_on_a_stop(tmp_path):
    """A hexagon in an anchor that fits one way: one place is 60°, past every stop."""
    text = cars.edited(
        cars.demo_text("tourer"),
        ("arm_teeth = 27", "arm_teeth = 6"),
        ("anchor_teeth = 28", "anchor_teeth = 1"),
    )
    file = tmp_path / "car.toml"
    file.write_text(text, encoding="utf-8")

    done = run("teeth", file, "left", "--height", "14 3/4 in")

    assert done.code in (0, 1)
    rows = re.findall(r"^ +[−+]?\d+ +[−+]?\d+ +\d+ .*$", done.out, flags=re.MULTILINE)
    assert any(row.endswith("on a stop") for row in rows)


def test_a_travel_without_stops(tmp_path):
    text = re.sub(
        r"\[corner\.front-left\.stops\][^\[]*", "", cars.demo_text("van"), count=1
    )
    file = tmp_path / "car.toml"
    file.write_text(text, encoding="utf-8")

    done = run("travel", file, "left", "--rows", "5")

    assert done.code == 0
    assert "The rebound stop is not in the car file" in done.out
    assert "until it locks" in run("plan", file, "left").out


def test_a_height_that_is_not_measured_anywhere(tmp_path):
    text = re.sub(
        r"\[corner\.front-left\.ride_height\][^\[]*", "", cars.demo_text("van"), count=1
    )
    text = re.sub(
        r'\[\[corner\.front-(left|right)\.reading\]\]\nof = "ride height"[^\[]*',
        "",
        text,
    )
    file = tmp_path / "car.toml"
    file.write_text(text, encoding="utf-8")

    done = run("plan", file, "left")

    assert done.code == 0, done.err
    assert "The wheel will stand" in done.out
    assert "does not say where the ride height is" in re.sub(
        r"\s+", " ", run("gauge", file, "left").out
    )
