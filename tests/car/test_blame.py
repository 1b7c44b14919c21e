"""What the core refuses becomes a fault of the file, never a traceback."""

import pytest

from splinewise.car.blame import Blame
from splinewise.car.demos import demo_text
from splinewise.car.file import read_car
from splinewise.errors import CarFileError, QuantityError, ReachError


def test_faults_below_a_place_have_its_path():
    blame = Blame()
    worse = blame.mark()
    blame.below("corner", "front-left").below("reading", 2).say("value", "no")
    blame.say(None, "nothing")

    assert blame.found == [
        (("corner", "front-left", "reading", 2, "value"), "no"),
        ((), "nothing"),
    ]
    assert worse()
    assert not blame.mark()()


def test_a_refusal_of_the_core_ends_with_one_full_stop():
    blame = Blame()
    blame.take("bore", QuantityError("bore", 2.0, "m", "smaller"))
    blame.take(None, ReachError("It is out of reach."))

    assert blame.found == [
        (("bore",), "bore must be smaller; got 2 m."),
        ((), "It is out of reach."),
    ]


@pytest.mark.parametrize(
    ("target", "field"),
    [
        ("splinewise.car.build_bar._bar", "corner.front-left.bar"),
        (
            "splinewise.car.layouts.double_wishbone.DoubleWishbone.build",
            "corner.front-left.points",
        ),
    ],
)
def test_the_net_below_the_builders(monkeypatch, target, field):
    """The builders check first; should the core see more, it is told all the same."""
    refusal = QuantityError("x", 1.0, "m", "another")

    def refuse(*_, **__):
        raise refusal

    monkeypatch.setattr(target, refuse)
    with pytest.raises(CarFileError) as caught:
        read_car(demo_text("tourer"))
    (fault,) = caught.value.faults

    assert (fault.field, fault.why) == (field, "x must be another; got 1 m.")


def test_a_wall_thinner_than_its_doubt_leaves_the_rate_wholly_doubtful():
    bar = 'diameter = "0.900 in ± 0.002"'
    tube = 'shape = "tube"\ndiameter = "0.900 in"\nbore = "0.898 in ± 0.004"'
    text = demo_text("tourer").replace(bar, tube, 1)
    rate = read_car(text).corners["front-left"].bar.rate

    assert rate.doubt >= rate.value
