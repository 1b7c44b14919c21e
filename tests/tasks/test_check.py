"""Do the dimensions agree?  Verdicts for one, two, three and more, misreads planted."""

import math

import numpy as np
import pytest

import cars
from cars import demo, inches, reading, with_corner
from cited import DEGREE
from splinewise.errors import TaskError
from splinewise.tasks.check import check
from splinewise.tasks.plan import plan
from splinewise.tasks.slack import slack_from

VAN = demo("van").corners["front-left"]
SLACK = -27.3 * DEGREE


def seen(name, angle, doubt, *, off=0.0, standing="measured"):
    """Return a dimension read where the arm is at `angle`, misread by `off`. [m, rad]"""
    if name == "slope":
        return reading(
            "arm slope",
            VAN.drawn_slope + angle + off,
            doubt,
            name=name,
            standing=standing,
        )
    span = cars.length(VAN, "setting length", angle) + off
    return reading("setting length", span, doubt, name=name, standing=standing)


def checked(*readings, published=()):
    car = with_corner(
        demo("van"), "front-left", readings=readings, published=tuple(published)
    )
    return check(car, "left")


def test_nothing_at_all():
    with pytest.raises(
        TaskError, match=r"no dimension of front-left to check\. The file"
    ):
        checked()


def test_only_what_cannot_be_used():
    hanging = reading("arm slope", -0.6, state="hanging", name="hanging arm")

    with pytest.raises(
        TaskError, match="'hanging arm' was taken with the wheel hanging"
    ):
        checked(hanging)


def test_one_cannot_tell():
    found = checked(seen("one", SLACK, 5e-4))

    assert found.readings.verdict == "cannot tell"
    assert found.readings.words == (
        "There is only one reading, with nothing to compare it to."
    )
    assert found.published.words == "There are no published dimensions."
    assert [r.verdict for r in found.readings.rows] == ["cannot tell"]
    assert not found.readings.rows[0].off.known
    assert found.agrees


def test_two_that_agree():
    found = checked(seen("one", SLACK, 5e-4), seen("slope", SLACK, 2e-3))

    assert found.readings.words == "The readings agree."
    assert [r.verdict for r in found.readings.rows] == ["agrees", "agrees"]
    assert found.readings.mean.value == pytest.approx(SLACK, abs=1e-9)


def test_two_that_disagree_cannot_say_which_is_wrong():
    found = checked(
        seen("one", SLACK, 5e-4), seen("two", SLACK, 5e-4, off=inches("1/8"))
    )

    assert found.readings.verdict == "disagrees"
    assert found.readings.words == (
        "The readings disagree: one and two cannot both be right, and two alone cannot "
        "say which is wrong."
    )
    assert [r.verdict for r in found.readings.rows] == ["disagrees", "disagrees"]
    assert not found.agrees


@pytest.mark.parametrize("wrong", [0, 1, 2])
def test_a_misread_among_three_stands_out(wrong):
    """A tape misread by an inch, the commonest slip of all."""
    names = ["by rule", "by tape", "by gauge"]
    rows = [
        seen(name, SLACK, 8e-4, off=0.0254 if i == wrong else 0.0)
        for i, name in enumerate(names)
    ]

    found = checked(*rows)

    assert found.readings.verdict == "disagrees"
    assert found.readings.words == (
        f"The readings disagree: {names[wrong]} stands out; the others agree."
    )
    assert [r.verdict for r in found.readings.rows] == [
        "disagrees" if i == wrong else "agrees" for i in range(3)
    ]


def test_three_that_all_differ_name_nobody():
    rows = [
        seen(name, SLACK, 5e-4, off=off)
        for name, off in (("one", -0.02), ("two", 0.0), ("three", 0.02))
    ]

    found = checked(*rows)

    assert found.readings.words == (
        "The readings disagree, and they do not show which is wrong. It may be more "
        "than one of one, two, three."
    )
    assert {r.verdict for r in found.readings.rows} == {"cannot tell"}


def test_a_small_misread_leaves_suspects():
    """Two sure and one unsure: a difference that either of two could explain."""
    rows = [
        seen("one", SLACK, 1.0e-3, off=0.0015),
        seen("two", SLACK, 1.0e-3, off=-0.0015),
        seen("slope", SLACK, 1.5 * DEGREE),
    ]

    found = checked(*rows)

    assert found.readings.words == (
        "The readings disagree, and they do not show which is wrong. It may be one or "
        "two."
    )
    assert [r.verdict for r in found.readings.rows] == [
        "cannot tell",
        "cannot tell",
        "agrees",
    ]


@pytest.mark.independent
def test_good_readings_are_seldom_said_to_disagree():
    """400 triples drawn within their doubts: an alarm or a few in a hundred."""
    rng = np.random.default_rng(4)
    alarms, n = 0, 400
    for _ in range(n):
        errors = rng.standard_normal(3) * 5e-4 / 3**0.5
        rows = [seen(str(i), SLACK, 5e-4, off=e) for i, e in enumerate(errors)]
        alarms += checked(*rows).readings.verdict == "disagrees"

    # Three single tests and one on the whole, each at 1 %, none independent.
    assert 1 <= alarms <= 0.05 * n


def test_the_book_and_the_car_are_judged_apart():
    """A book of one mind and a car read rightly may still lie apart: that is what the
    teeth make up.
    """
    found = checked(
        seen("one", SLACK, 5e-4),
        seen("slope", SLACK, 5e-3),
        published=[
            seen("book", SLACK - 0.1, 5e-4, standing="published"),
            seen("slope", SLACK - 0.1, 5e-3, standing="published"),
        ],
    )

    assert found.agrees
    assert found.published.words == "The published dimensions agree."
    assert found.published.mean.value == pytest.approx(SLACK - 0.1)


@pytest.mark.independent
def test_the_mean_is_weighted():
    found = checked(seen("one", SLACK, 5e-4), seen("slope", SLACK + 1e-3, 4e-3))

    values = [r.estimate.slack_angle for r in found.readings.rows]
    weights = np.array([v.doubt**-2 for v in values])
    mean = np.average([v.value for v in values], weights=weights)
    assert found.readings.mean.value == pytest.approx(mean, rel=1e-12)
    assert found.readings.mean.doubt == pytest.approx(weights.sum() ** -0.5)


def test_each_is_held_against_the_others():
    found = checked(
        seen("one", SLACK, 5e-4), seen("two", SLACK, 5e-4), seen("slope", SLACK, 2e-3)
    )

    for row in found.readings.rows:
        assert row.off.value == pytest.approx(0.0, abs=1e-9)
        assert row.off.doubt > row.estimate.slack_angle.doubt
        lift = found.height_per_angle.value
        assert row.off_height.doubt == pytest.approx(abs(lift) * row.off.doubt)


@pytest.mark.independent
def test_height_for_slack_angle():
    """An arm that hangs lower with the bar slack lifts the car: by least energy."""
    plain = cars.van_left()
    found = check(demo("van"), "left")
    # The slack angle with which the van stands as drawn.
    slack = plain.slack(0.0)

    ends = [plain.rise(plain.stands(slack + d)) for d in (-1e-4, 1e-4)]

    per_angle = -(ends[1] - ends[0]) / 2e-4
    # It is taken with the best reading's slack angle, half a degree from there.
    assert found.height_per_angle.value == pytest.approx(per_angle, rel=0.03)
    assert found.height_per_angle.value < 0.0


def test_a_sure_figure_is_no_division_by_nothing():
    found = checked(seen("one", SLACK, 0.0), seen("slope", SLACK, 5e-3))

    assert found.readings.verdict == "agrees"
    assert math.isfinite(found.readings.mean.value)


def test_the_story_of_the_tourer():
    """Its setting length is met at the left; its other dimension is another car's."""
    car = demo("tourer")
    found = check(car, "left")

    assert found.published.verdict == "disagrees"
    assert found.readings.verdict == "agrees"
    setting, other = (r.estimate.slack_angle.value for r in found.published.rows)
    read = found.readings.mean.value
    assert abs(setting - read) < found.index_step.value / 2
    assert other - read == pytest.approx(3.75 * DEGREE, abs=0.3 * DEGREE)
    assert not found.agrees
    assert found.index_step.value == pytest.approx(360 / 756 * DEGREE)


def test_what_could_not_be_used_is_told():
    hanging = reading("arm slope", -0.6, state="hanging", name="hanging arm")
    car = with_corner(demo("van"), "front-left", readings=(*VAN.readings, hanging))

    found = check(car, "left")

    assert len(found.left_out) == 1
    assert found.left_out[0].startswith("'hanging arm'")
    assert found.agrees


def test_the_planned_setting_length_checks_as_planned():
    """A car whose setting length is read as planned has nothing left to move."""
    car = demo("van")
    planned = plan(car, "left")
    span = planned.lengths[0].slack.value
    done = reading("setting length", span, 1e-4)

    found = check(with_corner(car, "front-left", readings=(done,)), "left")

    assert found.readings.mean.value == pytest.approx(
        planned.slack_angle.value, abs=1e-10
    )
    assert slack_from(VAN, done).slack_angle.value == pytest.approx(
        planned.slack_angle.value, abs=1e-10
    )
