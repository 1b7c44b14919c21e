"""The plan: the slack angle, how the car stands with it, and what it is worth."""

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy import integrate

import cars
from cars import demo, example, figure, inches, reading, with_corner
from cited import DEGREE, printed
from splinewise.core.corner import Bush
from splinewise.core.splines import Splines
from splinewise.errors import TaskError
from splinewise.tasks.doubts import standard_doubt
from splinewise.tasks.plan import plan

MM = 1e-3
TOURER = cars.tourer_left()
PLAIN = cars.van_left()


def by_length(name, value, doubt=None, **more):
    """Return a published dimension on the bare arm."""
    return reading(name, value, doubt, standing="published", **more)


def published(car, corner, *seen, **changes):
    return with_corner(car, corner, published=seen, **changes)


# --- the worked example, as a car file


def test_the_worked_example():
    """Our own example, worked out twice in tests/validation/test_worked_example.py."""
    found = plan(example(), "left", ride_height=figure(0.4))

    assert found.slack_angle.value == printed("-26.63620", DEGREE)
    assert found.bar_rate.value == printed("1975.14791")
    ride = found.stresses[0]
    assert ride.torque.value == printed("918.22530")
    assert ride.stress.value == printed("410.55544", 1e6)
    setting, second = found.lengths
    assert setting.slack.value == printed("479.75948", MM)
    assert setting.standing.value == printed("393.98604", MM)
    assert setting.per_angle.value == printed("-2.78299", MM / DEGREE)
    assert second.slack.value == printed("551.64542", MM)
    assert second.per_angle.value == printed("-2.99585", MM / DEGREE)
    assert found.wheel_rate.value == printed("14.57002", 1e3)
    assert found.wheel_rate_plain.value == printed("16.27800", 1e3)
    assert found.ride_height.value == pytest.approx(0.4, abs=1e-12)
    assert found.arm_angle.value == pytest.approx(0.0, abs=1e-12)


def test_the_worked_examples_steps():
    """One index step of 24 and 25 teeth, 0.6°, lets the wheel fall by 4.08165 mm."""
    found = plan(example(), "left", ride_height=figure(0.4))

    by_cause = {s.cause: s.height.value for s in found.sensitivities}
    assert by_cause["one index step toward droop"] == printed("4.08165", MM)
    # A tooth at one end alone lifts the car by about ten centimetres, too far for
    # the linkage: it locks first.
    assert math.isnan(by_cause["one tooth at the arm end alone, toward droop"])


# --- against ways of their own


@pytest.mark.independent
def test_a_published_length_of_the_tourer():
    """Least energy, with the upright's equations solved by SciPy."""
    found = plan(demo("tourer"), "left")

    slack = found.slack_angle.value
    fixed, moving = TOURER.spans["setting length"]
    assert TOURER.length(fixed, moving, slack) == pytest.approx(
        inches("18 19/32"), abs=1e-12
    )
    theta = TOURER.stands(slack)
    assert found.arm_angle.value == pytest.approx(theta, abs=1e-8)
    assert found.rise.value == pytest.approx(TOURER.rise(theta), abs=1e-8)
    assert found.ride_height.value == pytest.approx(
        inches("14 3/4") - TOURER.rise(theta), abs=1e-8
    )
    standing = {d.name: d.standing.value for d in found.lengths}
    for name, (a, b) in TOURER.spans.items():
        assert standing[name] == pytest.approx(TOURER.length(a, b, theta), abs=1e-8)


@pytest.mark.independent
def test_the_rate_at_the_wheel_is_the_slope_of_the_load():
    """Load against rise, 1 N either way, by least energy."""
    found = plan(demo("van"), "left")
    slack = found.slack_angle.value

    rises = [PLAIN.rise(PLAIN.stands(slack, load=PLAIN.load + d)) for d in (-1.0, 1.0)]

    rate = 2.0 / (rises[1] - rises[0])
    assert found.wheel_rate.value == pytest.approx(rate, rel=1e-5)
    mass = PLAIN.load / 9.80665
    assert found.frequency.value == pytest.approx(
        math.sqrt(rate / mass) / (2 * math.pi), rel=1e-5
    )


@pytest.mark.independent
def test_the_bar_at_ride_and_at_the_stops():
    """Torque by twist, stress by 16 T / π d³, energy by quadrature."""
    found = plan(demo("van"), "left")

    for at in found.stresses:
        twist = at.arm_angle.value - found.slack_angle.value
        torque = PLAIN.rate * twist
        assert at.torque.value == pytest.approx(torque, rel=1e-9)
        stress = 16.0 * torque / (math.pi * 0.024**3)
        assert at.stress.value == pytest.approx(stress, rel=1e-9)
        energy, _ = integrate.quad(lambda x: PLAIN.rate * x, 0.0, twist)
        assert at.energy.value == pytest.approx(energy, rel=1e-9)
        assert at.share.value == pytest.approx(stress / 1020e6, rel=1e-9)
    ride, bump, rebound = found.stresses
    assert PLAIN.rise(bump.arm_angle.value) == pytest.approx(0.075, abs=1e-9)
    assert PLAIN.rise(rebound.arm_angle.value) == pytest.approx(-0.080, abs=1e-9)
    assert found.bump_left.value == pytest.approx(0.075 - found.rise.value, abs=1e-9)
    assert found.rebound_left.value == pytest.approx(found.rise.value + 0.080, abs=1e-9)
    assert found.twist.value == pytest.approx(ride.torque.value / PLAIN.rate)


@pytest.mark.independent
def test_small_changes_do_what_they_say():
    """Each change put into the slack angle, and the van let stand again."""
    found = plan(demo("van"), "left")
    slack, now = found.slack_angle.value, found.rise.value
    fixed, moving, drawn = PLAIN.triangle
    millimetre = 1e-3 / found.lengths[0].per_angle.value
    # A lever of 68 mm, screw of 74 mm square to it and pitch of 1.5 mm: one turn.
    base = math.hypot(68.0, 74.0)

    def lever(screw):
        return math.acos((68.0**2 + base**2 - screw**2) / (2 * 68.0 * base))

    turn = (lever(74.0 + 1e-3) - lever(74.0 - 1e-3)) / 2e-3 * 1.5

    for s in found.sensitivities:
        change = {
            "1 mm more of the setting length": millimetre,
            "one degree of slack angle toward droop": -DEGREE,
            "one turn of the adjuster, toward droop": -turn,
        }[s.cause]
        then = PLAIN.rise(PLAIN.stands(slack + change))
        assert s.height.value == pytest.approx(now - then, abs=2e-8), s.cause
    assert PLAIN.length(fixed, moving, drawn, slack) == pytest.approx(0.433, abs=1e-12)


# --- laws


@pytest.mark.parametrize("name", ["tourer", "van"])
@pytest.mark.parametrize("side", ["left", "right"])
def test_the_height_that_a_plan_gives_asks_for_its_slack_angle(name, side):
    """By a published length, then by the ride height that it gives: the same."""
    first = plan(demo(name), side)

    again = plan(demo(name), side, ride_height=figure(first.ride_height.value))

    assert again.slack_angle.value == pytest.approx(first.slack_angle.value, abs=1e-10)
    assert again.ride_height.value == pytest.approx(first.ride_height.value, abs=1e-11)
    assert again.wheel_rate.value == pytest.approx(first.wheel_rate.value, rel=1e-9)


def test_left_and_right_mirror():
    """With the same load, both sides of a mirrored car get the same plan."""
    car = demo("tourer")
    left = car.corners["front-left"]
    car = with_corner(car, "front-right", load=left.load)

    one, other = plan(car, "left"), plan(car, "right")

    for name in ("slack_angle", "arm_angle", "rise", "wheel_rate", "twist"):
        a, b = getattr(one, name), getattr(other, name)
        assert a.value == pytest.approx(b.value, rel=1e-9), name
        assert a.doubt == pytest.approx(b.doubt, rel=1e-6), name


def test_matching_a_corner_asks_for_its_slack_angle():
    car = demo("van")

    found = plan(car, "left", match="right")

    right = plan(
        car, "right", ride_height=car.corners["front-right"].readings[3].figure
    )
    assert found.goal.kind == "match"
    assert found.goal.words == (
        "match front-right as it is set now, by its gap at the left side's gauge"
    )
    # Its gap and its height as found say the same within what both are worth.
    apart = found.slack_angle.value - right.slack_angle.value
    assert abs(apart) < 0.5 * DEGREE


def test_a_stiffer_bar_with_the_same_setting_lifts_the_car():
    car = demo("tourer")
    bar = car.corners["front-left"].bar
    stiffer = replace(bar, rate=replace(bar.rate, value=1.1 * bar.rate.value))

    high = plan(with_corner(car, "front-left", bar=stiffer), "left").ride_height.value

    assert high > plan(car, "left").ride_height.value


def test_bushes_carry_their_part():
    """Rubber clamped at the drawn position helps the bar where the arm is above it."""
    car = demo("van")
    rubber = with_corner(car, "front-left", bush=Bush(150.0, 0.0), bush_known=True)

    found = plan(rubber, "left", ride_height=figure(0.400))

    theta = math.asin(0.012 / (0.342 * 1.14) + math.sin(PLAIN.slope)) - PLAIN.slope
    lever = 0.342 * 1.14 * math.cos(PLAIN.slope + theta)
    torque = PLAIN.load * lever - 150.0 * theta
    assert found.slack_angle.value == pytest.approx(theta - torque / PLAIN.rate)
    assert "bushes: left out, the file gives no rate for them" not in found.assumed


# --- doubt


@pytest.mark.independent
def test_the_doubts_against_drawn_numbers():
    """4,000 vans drawn within their doubts, each solved by its own trigonometry."""
    car, n = demo("van"), 4000
    corner = car.corners["front-left"]
    found = plan(car, "left")
    rng = np.random.default_rng(11)

    def drawn(told):
        return told.value + standard_doubt(told) * rng.standard_normal(n)

    fixed, moving, at_drawn = PLAIN.triangle

    def apart(side):
        return np.arccos((fixed**2 + moving**2 - side**2) / (2 * fixed * moving))

    slack = apart(at_drawn) - apart(drawn(corner.published[0].figure))
    k, load = drawn(corner.bar.rate), drawn(corner.load)
    height = drawn(corner.ride_height.drawn)
    reach = PLAIN.arm * PLAIN.ratio
    theta = np.zeros(n)
    for _ in range(50):  # k (θ − τ₀) = F z'(θ), a contraction here
        theta = slack + load * reach * np.cos(PLAIN.slope + theta) / k
    rise = reach * (np.sin(PLAIN.slope + theta) - np.sin(PLAIN.slope))
    twist = theta - slack
    slope = reach * np.cos(PLAIN.slope + theta)
    rate = (k + load * reach * np.sin(PLAIN.slope + theta)) / slope**2
    wanted = {
        "slack_angle": slack,
        "arm_angle": theta,
        "rise": rise,
        "ride_height": height - rise,
        "twist": twist,
        "wheel_rate": rate,
        "frequency": np.sqrt(rate / load * 9.80665) / (2 * np.pi),
        "bump_left": 0.075 - rise,
    }

    for name, many in wanted.items():
        value = getattr(found, name)
        assert value.doubt == pytest.approx(np.std(many), rel=0.04), name
    ride, bump, _ = found.stresses
    unit = 16.0 / (np.pi * 0.024**3)
    assert ride.torque.doubt == pytest.approx(np.std(k * twist), rel=0.04)
    assert ride.stress.doubt == pytest.approx(np.std(k * twist) * unit, rel=0.04)
    assert ride.energy.doubt == pytest.approx(np.std(0.5 * k * twist**2), rel=0.04)
    stop = bump.arm_angle.value - slack
    assert bump.torque.doubt == pytest.approx(np.std(k * stop), rel=0.04)
    assert bump.energy.doubt == pytest.approx(np.std(0.5 * k * stop**2), rel=0.04)
    (setting,) = found.lengths

    def side(angle):
        at = apart(at_drawn) - angle
        return np.sqrt(fixed**2 + moving**2 - 2 * fixed * moving * np.cos(at))

    assert setting.slack.doubt == pytest.approx(np.std(side(slack)), rel=0.04)
    assert setting.standing.doubt == pytest.approx(np.std(side(theta)), rel=0.04)


@pytest.mark.independent
def test_the_causes_of_doubt_one_by_one():
    """Each input moved by its standard doubt, and the tourer let stand again."""
    found = plan(demo("tourer"), "left")
    corner = demo("tourer").corners["front-left"]
    slack = found.slack_angle.value
    by_cause = {d.cause: d.height.value for d in found.height_doubts}
    k, load = standard_doubt(corner.bar.rate), standard_doubt(corner.load)
    turn = found.slack_angle.doubt

    def half_spread(**change):
        ends = []
        for sign in (-1.0, 1.0):
            moved = {name: (at + sign * u) for name, (at, u) in change.items()}
            slack_then = moved.pop("slack", slack)
            ends.append(TOURER.rise(TOURER.stands(slack_then, **moved)))
        return abs(ends[1] - ends[0]) / 2.0

    assert by_cause["slack angle: length"] == pytest.approx(
        half_spread(slack=(slack, turn)), rel=2e-3
    )
    assert by_cause["bar rate"] == pytest.approx(
        half_spread(rate=(TOURER.rate, k)), rel=2e-3
    )
    assert by_cause["load"] == pytest.approx(
        half_spread(load=(TOURER.load, load)), rel=2e-3
    )
    drawn = by_cause["height at the drawn position"]
    # 14 3/4 in shows quarters of an inch: √12 of them make the standard doubt.
    assert drawn == pytest.approx(0.25 * 0.0254 / 12**0.5)
    assert_allclose(
        math.sqrt(sum(u * u for u in by_cause.values())), found.ride_height.doubt
    )


def test_a_plan_by_height_has_a_sure_slack_angle():
    """What is asked for is what it is; how sure the height is stands beside the height."""
    found = plan(demo("van"), "left", ride_height=figure(0.4))

    assert found.slack_angle.doubt is None
    assert found.lengths[0].slack.doubt is None
    assert found.ride_height.doubt > 0.0


# --- goals


def test_the_first_goal_is_a_published_dimension_on_the_bare_arm():
    assert plan(demo("van"), "left").goal.kind == "published"


def test_one_known_to_be_for_this_car_goes_before_one_that_may_be():
    car = demo("tourer")
    a, b = car.corners["front-left"].published
    turned = with_corner(car, "front-left", published=(b, a))

    assert plan(turned, "left").goal.words == "set to the published setting length"


def test_one_known_not_to_be_for_this_car_is_not_taken():
    car = demo("van")
    (only,) = car.corners["front-left"].published
    other = with_corner(
        car, "front-left", published=(replace(only, for_this_car=False),)
    )

    assert plan(other, "left").goal.kind == "ride height"
    assert plan(other, "left", published="setting length").goal.kind == "published"


def test_a_published_ride_height_is_a_goal_by_name():
    seen = by_length("ride height", 0.405, 0.002, state="standing")
    car = published(demo("van"), "front-left", seen)

    found = plan(car, "left", published="ride height")

    assert found.ride_height.value == pytest.approx(0.405, abs=1e-10)


@pytest.mark.parametrize(
    ("goals", "words"),
    [
        ({"published": "toe"}, "nothing published as 'toe'; it has 'setting length'"),
        ({"match": "left"}, "front-left cannot be matched to itself"),
        ({"match": "rear"}, "no corner called 'rear' in this car. It has: front-left"),
        (
            {"published": "setting length", "match": "right"},
            "Give one goal: a published dimension, a ride height or a corner",
        ),
        (
            {"ride_height": figure(0.9, text="90 cm")},
            r"90 cm is out of the travel of front-left",
        ),
    ],
)
def test_goals_that_cannot_be(goals, words):
    with pytest.raises(TaskError, match=words):
        plan(demo("van"), "left", **goals)


def test_without_any_goal_one_is_asked_for():
    car = published(demo("van"), "front-left")
    height = car.corners["front-left"].ride_height
    nothing = with_corner(car, "front-left", ride_height=replace(height, wanted=None))

    assert plan(car, "left").goal.kind == "ride height"
    with pytest.raises(
        TaskError, match="no published dimension on the bare arm and no"
    ):
        plan(nothing, "left")
    with pytest.raises(TaskError, match=r"no \[ride_height\] table that says where"):
        plan(
            with_corner(car, "front-left", ride_height=None), "left", ride_height=height
        )


def test_nothing_to_match():
    car = with_corner(demo("van"), "front-right", readings=())

    with pytest.raises(
        TaskError, match="front-right has no reading to match in demo:van"
    ):
        plan(car, "left", match="right")


def test_without_a_place_for_the_height_only_the_wheel_is_told():
    found = plan(with_corner(demo("van"), "front-left", ride_height=None), "left")

    assert not found.ride_height.known
    assert found.ride_height.doubt is None
    assert found.rise.known
    assert [d.cause for d in found.height_doubts] == [
        "slack angle: length",
        "bar rate",
        "load",
    ]


@pytest.mark.parametrize(
    ("turn", "words"),
    [
        (-12.0, r"sits on the rebound stop: the bar pushes with [\d.]+ N even there"),
        (+12.0, r"sits on the bump stop: the bar carries only [\d.]+ N there"),
    ],
)
def test_a_slack_angle_that_puts_the_car_on_a_stop_is_refused(turn, words):
    car = demo("van")
    slack = plan(car, "left").slack_angle.value + turn * DEGREE
    span = cars.length(car.corners["front-left"], "setting length", slack)
    far = published(car, "front-left", by_length("setting length", span))

    with pytest.raises(TaskError, match=words):
        plan(far, "left")


# --- what it breaks, and what wants attention


def test_a_height_outside_its_tolerance_breaks_a_limit():
    found = plan(demo("tourer"), "left")

    assert not found.fits
    assert len(found.breaks) == 1
    assert found.breaks[0].startswith(
        "The car would stand 1.86 in (47.3 mm) above the height that you want; your "
        "tolerance is 0.25 in (6.4 mm)."
    )
    inside = plan(demo("van"), "left")
    assert inside.fits
    assert inside.breaks == ()


def test_a_height_that_was_asked_for_breaks_nothing():
    """Seven millimetres from what the file wants, but asked for by name."""
    assert plan(demo("van"), "left", ride_height=figure(0.405)).fits


def test_too_low_is_told_as_below():
    found = plan(demo("van"), "left", match="right")

    assert "below the height that you want" in found.breaks[0]


def test_a_stress_over_the_limit_breaks_it_where_it_is():
    car = demo("van")
    bar = car.corners["front-left"].bar

    def limited(megapascal):
        limit = figure(megapascal * 1e6)
        return with_corner(
            car,
            "front-left",
            bar=replace(bar, limit=replace(bar.limit, value=limit)),
        )

    assert plan(limited(600.0), "left").breaks == ()
    assert plan(limited(500.0), "left").breaks == (
        "The bar is over its stress limit at the bump stop: 116 % of it.",
    )
    both = plan(limited(400.0), "left")
    assert [b.partition(":")[0] for b in both.breaks] == [
        "The bar is over its stress limit standing",
        "The bar is over its stress limit at the bump stop",
    ]
    assert not both.fits


def test_a_bar_unloaded_in_droop_is_told():
    """Where the slack angle lies above the rebound stop, the bar is turned back."""
    car = demo("van")
    soft = with_corner(car, "front-left", low=-0.6)

    assert "twisted the other way" in plan(soft, "left").warnings[0]
    assert plan(car, "left").warnings == ()


def test_not_knowing_of_presetting_matters_only_for_an_assumed_limit():
    car = demo("van")
    bar = car.corners["front-right"].bar
    given = replace(bar.limit, value=figure(800e6))
    told = with_corner(car, "front-right", bar=replace(bar, limit=given))

    (told_of,) = plan(car, "right").warnings
    assert told_of == (
        "Whether the bar is preset is not known, so the limit is that of a bar that "
        "is not."
    )
    assert plan(told, "right").warnings == ()
    assert not any(a.startswith("stress limit") for a in plan(told, "right").assumed)


def test_what_was_taken_for_want_of_knowledge_is_told():
    car = demo("van")
    open_ended = with_corner(car, "front-right", stops_known=(False, True))

    assumed = plan(open_ended, "right").assumed

    assert [a.partition(":")[0] for a in assumed] == [
        "stress limit",
        "bar rate",
        "bushes",
        "rebound stop",
    ]


@pytest.mark.parametrize(
    ("arm", "anchor", "causes"),
    [
        (1, 1, []),
        (1, 24, ["index step", "anchor end"]),
        (24, 1, ["index step", "arm end"]),
        (24, 25, ["index step", "arm end", "anchor end"]),
    ],
)
def test_only_ends_that_have_teeth_are_told_of(arm, anchor, causes):
    car = with_corner(demo("van"), "front-left", splines=Splines(arm, anchor))

    told = [s.cause for s in plan(car, "left").sensitivities]

    found = [
        c for c in ("index step", "arm end", "anchor end") if any(c in t for t in told)
    ]
    assert found == causes
