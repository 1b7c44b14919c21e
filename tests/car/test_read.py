"""A good file becomes the mechanics' objects: each value in SI, with its standing."""

import math

import numpy as np
import pytest

from cited import DEGREE, INCH, LBF
from splinewise.car.demos import demo_text
from splinewise.car.file import read_car
from splinewise.core.adjuster import HoleRow, Slot
from splinewise.core.heights import angle_at_rise
from splinewise.core.jet import value
from splinewise.core.limits import STRESS_LIMITS
from splinewise.core.linkages import locking_angle
from splinewise.core.screw import Screw
from splinewise.core.steel import STEELS

GRAVITY = 9.80665  # m/s², exact by definition
POUND = 0.45359237  # kg, exact by definition


def car_with(demo, *changes):
    """Return a demo car with some of its lines others."""
    text = demo_text(demo)
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return read_car(text)


def left(demo, *changes):
    return car_with(demo, *changes).corners["front-left"]


BAR = '''diameter = "0.900 in ± 0.002"
active_length = "40 in ± 1/8"'''


def bar_of(*rows):
    """Return the tourer's left bar with other sizes."""
    return left("tourer", (BAR, "\n".join(rows))).bar


def test_the_car_as_a_whole():
    car = car_with("tourer")

    assert (car.name, car.system, car.invented) == ("Larkspur tourer", "inch", True)
    assert car.story.startswith("A small open tourer")
    assert list(car.corners) == ["front-left", "front-right"]
    assert car.text == demo_text("tourer")


def test_a_corner_says_what_it_is():
    corner = left("tourer")

    assert (corner.name, corner.side) == ("front-left", "left")
    assert corner.layout == "double wishbone"
    assert (corner.splines.arm, corner.splines.anchor, corner.counted) == (27, 28, True)


@pytest.mark.independent
def test_points_keep_their_distances():
    """A dimension at the drawn position is the plain distance of its two points."""
    dimensions = left("tourer").dimensions
    setting = math.dist([0.75, 10.875, 21.25], [0.375, 17.875, 7.875]) * INCH
    check = math.dist([7.5, 11.5, 20.25], [0.125, 21.5, 7.625]) * INCH

    for name, apart in (("setting length", setting), ("check dimension", check)):
        length = float(value(dimensions[name].span.length(0.0)))
        assert length == pytest.approx(apart, rel=1e-12)


@pytest.mark.independent
def test_the_arms_slope_and_radius_from_its_points():
    """The ball joint against the foot of its perpendicular on the pivots' axis."""
    front, rear, ball = (
        np.array(p) * INCH
        for p in ([4.75, 8.75, 9.0], [-6.5, 8.75, 8.75], [0.125, 21.5, 7.625])
    )
    along = (front - rear) / np.linalg.norm(front - rear)
    arm = (ball - rear) - along * ((ball - rear) @ along)
    level = np.cross([0.0, 0.0, 1.0], along)
    corner = left("tourer")

    assert corner.arm_radius == pytest.approx(np.linalg.norm(arm), rel=1e-12)
    assert np.tan(corner.drawn_slope) == pytest.approx(
        (arm @ np.cross(along, level)) / (arm @ level), rel=1e-9
    )
    assert np.allclose(corner.bar_along, along, atol=1e-12)


def test_points_may_have_units_of_their_own():
    own = (
        "wheel_centre = [0.0, 24.0, 11.5]",
        'wheel_centre = [0, "2 ft", "11 1/2 in"]',
    )
    plain, typed = left("tourer"), left("tourer", own)

    one, other = (c.linkage.pose(np.zeros(())).wheel.array for c in (plain, typed))
    assert np.allclose(one, other, rtol=0.0, atol=1e-15)


@pytest.mark.independent
def test_camber_and_toe_make_the_spindle():
    """Camber is the outboard spindle's fall, toe its turn to the front."""
    for corner in car_with("tourer").corners.values():
        spindle = corner.linkage.pose(np.zeros(())).spindle.array
        out = 1.0 if corner.side == "left" else -1.0

        assert -math.asin(spindle[2]) == pytest.approx(0.5 * DEGREE)
        assert math.atan2(spindle[0], spindle[1] * out) == pytest.approx(0.1 * DEGREE)


@pytest.mark.parametrize(
    ("text", "newtons"),
    [
        ("592 lb", 592 * POUND * GRAVITY),
        ("592 lbf", 592 * LBF),
        ("268.8 kg", 268.8 * GRAVITY),
        ("2640 N", 2640.0),
        ("2 cwt 1 qr", (2 * 112 + 28) * POUND * GRAVITY),
    ],
)
def test_a_load_is_a_force_however_it_was_weighed(text, newtons):
    alone = demo_text("tourer").split("[corner.front-right]")[0]
    lines = [
        f'sprung_load = "{text}"' if line.startswith("scale_load") else line
        for line in alone.split("\n")
        if not line.startswith("unsprung")
    ]
    load = read_car("\n".join(lines)).corners["front-left"].load

    assert load.value == pytest.approx(newtons, rel=1e-12)
    assert (load.standing, load.text) == ("assumed", text)
    if text == "268.8 kg":
        assert load.step == pytest.approx(0.1 * GRAVITY)


def test_a_load_on_scales_loses_what_is_unsprung():
    load = left("tourer").load

    assert load.value == pytest.approx((640 - 78) * POUND * GRAVITY, rel=1e-12)
    assert load.doubt == pytest.approx(math.hypot(4, 6) * POUND * GRAVITY, rel=1e-12)
    assert load.standing == "measured"


def test_a_value_may_say_where_it_comes_from():
    height = left("tourer").ride_height

    assert height.drawn.value == 14.75 * INCH
    assert height.drawn.standing == "published"
    assert height.drawn.source == "tourer's manual, front view"
    assert (height.wanted.standing, height.tolerance.standing) == ("wanted", "wanted")
    assert height.tolerance.value == 0.25 * INCH


@pytest.mark.independent
def test_a_round_bar():
    """K = π G d⁴ / 32 L by hand."""
    bar = left("tourer").bar
    steel = STEELS["unknown spring steel"]
    d, length = 0.9 * INCH, 40 * INCH
    rate = math.pi * steel.shear_modulus * d**4 / 32 / length

    assert bar.rate.value == pytest.approx(rate, rel=1e-12)
    assert bar.rate.standing == "computed"
    assert (bar.steel, bar.words) == (
        "unknown spring steel",
        "0.900 in ± 0.002 round, 40 in ± 1/8 active",
    )


@pytest.mark.independent
def test_a_computed_rate_is_as_doubtful_as_its_parts():
    """Exponents 4, −1 and 1 of d, L and G; the steel's doubt is a standard one."""
    bar = left("tourer").bar
    steel = STEELS["unknown spring steel"]
    parts = (4 * 0.002 / 0.9, 0.125 / 40, steel.relative_doubt * math.sqrt(3.0))

    assert bar.rate.doubt / bar.rate.value == pytest.approx(
        math.hypot(*parts), rel=5e-3
    )


def test_a_measured_rate_goes_before_the_computed_one():
    bar = left("van").bar

    assert bar.rate.value == pytest.approx(41.0 / DEGREE, rel=1e-12)
    assert bar.rate.doubt == pytest.approx(0.6 / DEGREE, rel=1e-12)
    assert bar.rate.standing == "measured"
    assert float(bar.bar.rate) != pytest.approx(bar.rate.value, rel=1e-3)


@pytest.mark.independent
@pytest.mark.parametrize(
    ("rows", "ratio"),
    [
        # J of a tube: d⁴ − b⁴.
        (('shape = "tube"', 'diameter = "20 mm"', 'bore = "10 mm"'), 15.0 / 16.0),
        # J of a square 0.14058 a⁴, of a disc π d⁴ / 32, both printed in any handbook.
        (('shape = "square"', 'side = "20 mm"'), 0.14058 * 32 / math.pi),
        # J of a hexagon 0.11505 s⁴ (the core's own figure; its tests prove it).
        (('shape = "hexagon"', 'across_flats = "20 mm"'), 0.115051 * 32 / math.pi),
        # Thin leaves: w t³/3 (1 − 0.63 t/w) each, from memory.
        (
            (
                'shape = "leaf pack"',
                'width = "40 mm"',
                'thickness = "2 mm"',
                "leaves = 5",
            ),
            5 * 40 * 2**3 / 3 * (1 - 0.63 * 2 / 40) * 32 / math.pi / 20**4,
        ),
    ],
)
def test_other_sections(rows, ratio):
    plain = bar_of('diameter = "20 mm"', 'active_length = "1 m"')
    other = bar_of(*rows, 'active_length = "1 m"')

    assert other.rate.value / plain.rate.value == pytest.approx(ratio, rel=1e-4)


def segment(shape, **sizes):
    rows = [f'{key} = "{size}"' for key, size in sizes.items()]
    return "\n".join(["[[corner.front-left.bar.segment]]", f'shape = "{shape}"', *rows])


def bar_of_segments(*segments):
    bar = (BAR + '\npreset = "unknown"', "")
    splines = "[corner.front-left.splines]"
    rows = "\n".join(['preset = "unknown"', *segments, splines])
    text = demo_text("tourer").replace(*bar, 1).replace(splines, rows, 1)
    return read_car(text).corners["front-left"].bar


@pytest.mark.independent
def test_segments_end_to_end():
    """Springs in series, a taper from c to 2c as 7/24 of its length of body.

    ∫ dx / (1 + x/L)⁴ over 0..L is 7 L / 24.
    """
    bar = bar_of_segments(
        segment("round", diameter="20 mm", length="900 mm"),
        segment("taper", diameter="20 mm", far_diameter="40 mm", length="48 mm"),
        segment("tube", diameter="30 mm", bore="10 mm", length="100 mm"),
    )
    steel = STEELS["unknown spring steel"]

    def flexibility(length, d, b=0.0):
        return 32 * length / (math.pi * steel.shear_modulus * (d**4 - b**4))

    total = flexibility(0.9 + 0.048 * 7 / 24, 0.02) + flexibility(0.1, 0.03, 0.01)

    assert bar.rate.value == pytest.approx(1 / total, rel=1e-12)
    assert bar.words.startswith("20 mm round, 900 mm long; 20 mm × 40 mm taper, ")


@pytest.mark.independent
def test_a_taper_is_the_same_from_either_end():
    ends = ({"diameter": "20 mm", "far_diameter": "40 mm"},)
    ends += ({"diameter": "40 mm", "far_diameter": "20 mm"},)
    body = segment("round", diameter="20 mm", length="900 mm")
    one, other = (
        bar_of_segments(body, segment("taper", length="48 mm", **end)) for end in ends
    )

    assert one.rate.value == other.rate.value
    # The thin end is the weak one: W = π d³/16.
    for bar in (one, other):
        assert float(bar.bar.torsion_modulus) == pytest.approx(math.pi * 0.02**3 / 16)
        weak = bar.bar.segments[1].section.torsion_modulus
        assert float(weak) == pytest.approx(math.pi * 0.02**3 / 16)


@pytest.mark.independent
def test_a_fillet_is_softer_than_its_head_and_stiffer_than_its_body():
    body = segment("round", diameter="20 mm", length="900 mm")
    fillet = segment("fillet", diameter="20 mm", head_diameter="30 mm", radius="15 mm")
    long = math.sqrt(5.0 * (2 * 15.0 - 5.0))  # the arc's length along the bar, mm
    ways = [
        bar_of_segments(body, piece).rate.value
        for piece in (
            segment("round", diameter="20 mm", length=f"{long:.6f} mm"),
            fillet,
            segment("round", diameter="30 mm", length=f"{long:.6f} mm"),
        )
    ]

    assert ways == sorted(ways)


@pytest.mark.parametrize(
    ("preset", "row", "known"),
    [
        ("yes", "preset", True),
        ("no", "not preset", False),
        ("unknown", "not preset", None),
    ],
)
def test_a_cautious_limit_says_that_it_is_assumed(preset, row, known):
    limit = left("tourer", ('preset = "unknown"', f'preset = "{preset}"')).bar.limit

    assert limit.preset is known
    assert limit.value.value == STRESS_LIMITS[row].stress
    assert limit.value.standing == "assumed"
    assert STRESS_LIMITS[row].source in limit.value.source
    assert STRESS_LIMITS[row].standing in limit.value.source


def test_a_limit_of_the_persons_own():
    given = (
        'stress_limit = { value = "100000 psi", standing = "published", source = "me" }'
    )
    limit = left("tourer", ('preset = "unknown"', f'preset = "no"\n{given}')).bar.limit

    assert limit.value.value == pytest.approx(1e5 * LBF / INCH**2)
    assert (limit.value.standing, limit.value.source) == ("published", "me")


def test_a_slotted_bracket():
    corner = left("tourer", ('now = "0 in"', 'now = "-1/8 in"'))

    assert isinstance(corner.adjuster, Slot)
    assert corner.adjuster.radius == pytest.approx(3 * INCH)
    assert corner.adjuster.length == pytest.approx(0.375 * INCH)
    assert corner.adjuster_at == pytest.approx(-0.125 * INCH)
    # Positive goes to bump.
    assert float(corner.adjuster.angle_at(0.001)) > 0.0


def test_a_screw():
    corner = car_with("van").corners["front-right"]

    assert corner.adjuster == Screw(0.068, 0.0015, 20.0, math.pi / 2, 0.074, -1)
    assert corner.adjuster_at == 5.5


def test_a_screw_that_keeps_its_direction():
    corner = left("van", ('screw_length = "74 mm"\n', ""), ('"droop"', '"bump"'))

    assert corner.adjuster == Screw(0.068, 0.0015, 20.0, math.pi / 2, math.inf, 1)


def test_a_row_of_holes():
    text = demo_text("tourer").split("[corner.front-right.adjuster]")[0]
    old = 'kind = "slotted bracket"\nradius = "3 in"\nslot_length = "3/8 in"\nnow = "0 in"'
    new = (
        'kind = "row of holes"\nradius = "70 mm"\npitch = "14 mm"\nholes = 5\nhole = 4'
    )
    text = text.replace(old, new) + "[corner.front-right.adjuster]\nhole = 2\n"
    one, other = read_car(text).corners.values()

    assert one.adjuster == HoleRow(0.07, 0.014, 5, 1)
    assert (one.adjuster_at, other.adjuster_at) == (1.0, -1.0)


def test_no_adjuster():
    text = demo_text("tourer").split("[corner.front-right]")[0]
    old = 'kind = "slotted bracket"\nradius = "3 in"\nslot_length = "3/8 in"\nnow = "0 in"'
    corner = read_car(text.replace(old, 'kind = "none"')).corners["front-left"]

    assert (corner.adjuster, corner.adjuster_at) == (None, 0.0)


@pytest.mark.independent
def test_stops_by_wheel_travel():
    corner = left("tourer")
    rise = value(
        corner.linkage.pose(np.array([0.0, corner.low, corner.high])).contact.z
    )

    assert rise[1] - rise[0] == pytest.approx(-3 * INCH, abs=1e-12)
    assert rise[2] - rise[0] == pytest.approx(2.5 * INCH, abs=1e-12)
    assert corner.stops_known == (True, True)


def test_stops_by_arm_angle_and_where_none_is_known():
    corner = left(
        "tourer", ('rebound = "3 in"\nbump = "2 1/2 in"', 'rebound = "12 deg"')
    )

    assert corner.low == pytest.approx(-12 * DEGREE)
    assert corner.high == locking_angle(corner.linkage, 1.0)
    assert corner.stops_known == (True, False)


def test_two_marks_are_inches_where_a_length_or_an_angle_may_stand():
    """2" is two inches, not two seconds of arc; 9° 30' is an angle all the same."""
    stops = ('rebound = "3 in"', 'rebound = "9° 30\'"')
    corner = left("tourer", stops, ('bump = "2 1/2 in"', "bump = '2\"'"))
    top = value(corner.linkage.pose(np.array([0.0, corner.high])).contact.z)

    assert top[1] - top[0] == pytest.approx(2 * INCH, abs=1e-12)
    assert corner.low == pytest.approx(-9.5 * DEGREE)


@pytest.mark.parametrize("at", ["-2 deg", "-10 mm"])
def test_bushes(at):
    table = f'[corner.front-left.bush]\nrate = "2 N·m/deg"\ntightened_at = "{at}"\n\n'
    head = "[corner.front-left.stops]"
    corner = left("tourer", (head, table + head))
    angle = -2 * DEGREE
    if at.endswith("mm"):
        low, high = corner.low, corner.high
        angle = float(angle_at_rise(corner.linkage, -0.010, low=low, high=high))

    assert corner.bush.rate == pytest.approx(2 / DEGREE)
    assert corner.bush.tightened_at == pytest.approx(angle)
    assert corner.bush_known


def test_bushes_are_left_out_and_said_so():
    corner = left("tourer")

    assert (corner.bush.rate, corner.bush_known) == (0.0, False)


def test_a_damper():
    corner = left("tourer")

    assert corner.damper_open.value == 17.25 * INCH
    assert corner.damper_closed.value == 13 * INCH


def test_a_damper_whose_bolts_are_not_known():
    taped = (
        'fixed_radius = "312 mm"\narm_radius = "270 mm"\n'
        'drawn_length = "365 mm"\nin_bump = "shortens"\n'
    )
    corner = left("van", (taped, ""))

    assert corner.linkage.damper_span is None
    assert corner.damper_open.value == 0.440


@pytest.mark.independent
def test_an_arm_by_tape():
    """Sin of the slope is drop over length; the wheel moves by the ratio."""
    corner = left("van")
    z = value(corner.linkage.pose(np.array([0.0, 0.1])).contact.z)
    slope = -math.asin(38 / 342)
    rise = 1.14 * 0.342 * (math.sin(slope + 0.1) - math.sin(slope))

    assert corner.drawn_slope == pytest.approx(slope, rel=1e-12)
    assert corner.arm_radius == pytest.approx(0.342, rel=1e-12)
    assert z[1] - z[0] == pytest.approx(rise, rel=1e-12)


def test_an_arm_by_its_slope():
    corner = left("van", ('drawn_drop = "38 mm"', 'drawn_slope = "-8.5 deg"'))

    assert corner.drawn_slope == pytest.approx(-8.5 * DEGREE, rel=1e-12)


@pytest.mark.independent
def test_a_bar_across_the_car_trails_its_arm():
    """Right-handed about the bar's axis, the trailing end must rise."""
    corner = left("van", ('bar_lies = "along"', 'bar_lies = "across"'))
    trailing = np.array([-1.0, 0.0, 0.0])

    assert np.cross(corner.bar_along, trailing)[2] > 0.0


@pytest.mark.independent
def test_a_taped_triangle():
    """The law of cosines at the drawn position, and the sense that was said."""
    span = left("van").dimensions["setting length"].span
    apart = math.acos((288**2 + 236**2 - 352**2) / (2 * 288 * 236))

    for turn in (-0.4, 0.0, 0.3):
        length = 288**2 + 236**2 - 2 * 288 * 236 * math.cos(apart - turn)
        taped = float(value(span.length(turn)))
        assert taped == pytest.approx(math.sqrt(length) / 1000, rel=1e-12)

    longer = left(
        "van",
        (
            'length = "352 mm"\nin_bump = "shortens"',
            'length = "352 mm"\nin_bump = "lengthens"',
        ),
    )
    assert float(longer.dimensions["setting length"].span.slope(0.0)) > 0.0


def test_a_triangle_may_be_taped_on_any_layout():
    named = 'from = "wing_bracket_bolt"\nto = "lower_ball"'
    taped = (
        'from = "a bolt"\nto = "the ball"\nfixed_radius = "11 1/2 in"\n'
        'arm_radius = "12 3/4 in"\ndrawn_length = "17 3/4 in"\nin_bump = "shortens"'
    )
    dimension = left("tourer", (named, taped)).dimensions["check dimension"]

    assert (dimension.fixed, dimension.moving) == ("a bolt", "the ball")
    assert float(value(dimension.span.length(0.0))) == pytest.approx(17.75 * INCH)


def test_a_point_of_ones_own_on_the_arm():
    text = demo_text("tourer").split("[[corner.front-left.published]]")[0]
    arm = "[corner.front-left.points.arm]\neye = [0.25, 15.0, 8.25]\n\n"
    head = "[corner.front-left.damper]"
    text = text.replace(head, arm + head).replace('to = "lower_ball"', 'to = "eye"')
    corner = read_car(text).corners["front-left"]
    length = float(value(corner.dimensions["check dimension"].span.length(0.0)))

    assert length == pytest.approx(
        math.dist([7.5, 11.5, 20.25], [0.25, 15.0, 8.25]) * INCH, rel=1e-12
    )


def test_bolts():
    one, other = left("van").dimensions["setting length"].bolts

    assert (one.value, other.value) == (0.012, 0.010)


def test_what_is_published():
    known, loose = left("tourer").published

    assert known.of == known.name == "setting length"
    assert known.figure.value == (18 + 19 / 32) * INCH
    assert known.figure.doubt == INCH / 32
    assert (known.figure.standing, known.state) == ("published", "bare arm")
    assert known.figure.source == "tourer's manual, front suspension"
    assert (known.for_this_car, loose.for_this_car) == (True, None)


def test_what_was_read():
    text = demo_text("tourer")
    first = left("tourer").readings[0]
    line = text.split("\n").index("[[corner.front-left.reading]]") + 1

    assert (first.of, first.name) == ("setting length", "setting length as found")
    assert first.figure.value == pytest.approx((18 + 19 / 32) * INCH, rel=1e-15)
    assert first.figure.step == pytest.approx(INCH / 32, rel=1e-12)
    assert first.figure.standing == "measured"
    assert (first.instrument, first.taken, first.by) == ("rule", "2023-03-11", "")
    assert first.line == line


def test_a_gap():
    gap = car_with("van").corners["front-right"].readings[1]

    assert (gap.of, gap.of_gap, gap.opens) == ("gap", "setting length", "high")
    assert (gap.figure.value, gap.gauge.value) == (0.0075, 0.4335)
    assert gap.gauge.standing == "measured"


def test_a_slope_is_read_as_an_angle():
    """30' is half a degree for a slope, though thirty feet for a length."""
    corner = left("van", ('"-33.8 deg"', '"-33° 30\'"'))
    other = left("van", ('"-33.8 deg"', '"-30\'"'))

    assert corner.readings[1].figure.value == pytest.approx(-33.5 * DEGREE)
    assert other.readings[1].figure.value == pytest.approx(-0.5 * DEGREE)


def test_what_a_result_shows_is_one_plain_line():
    """Line ends and the like in a value are spaces to whoever reads it."""
    bar = left("tourer", ('"0.900 in ± 0.002"', '"0.900\\u001f in\\n± 0.002"')).bar

    assert bar.words == "0.900 in ± 0.002 round, 40 in ± 1/8 active"


def test_every_steel_can_be_named():
    for name in STEELS:
        row = ('steel = "unknown spring steel"', f'steel = "{name}"')
        assert left("tourer", row).bar.steel == name


def test_axles_behind_one_another():
    text = demo_text("van")
    corners = text[text.index("[corner.front-left]") :]
    more = corners.replace("front-", "middle-")
    car = read_car(text + more + corners.replace("front-", "rear-"))

    assert list(car.corners) == [
        f"{axle}-{side}"
        for axle in ("front", "middle", "rear")
        for side in ("left", "right")
    ]
    middle = car.corners["middle-left"]
    assert car.opposite(middle) is car.corners["middle-right"]
