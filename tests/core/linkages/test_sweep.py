"""Travel in blocks: however it is cut, the outputs are those of each angle alone."""

import tracemalloc
from dataclasses import fields

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from splinewise.core.linkages import DoubleWishbone, PlanarArm, sweep, travel
from wishbones import EXAMPLE, changed

LEFT = DoubleWishbone.build(EXAMPLE, outboard=1.0)


def many_cars():
    """Return three cars as one, with a leading axis."""
    shift = np.array([[0.0, 0.0, 0.0], [0.01, 0.0, 0.01], [0.0, 0.02, -0.01]])
    return DoubleWishbone.build(changed(EXAMPLE, lambda p: p + 0 * shift + shift * p),
                                outboard=1.0)  # fmt: skip


def outputs(out):
    """Return the outputs that a corner has, by name."""
    return {
        f.name: getattr(out, f.name)
        for f in fields(out)
        if getattr(out, f.name) is not None
    }


def same(got, wanted, cut=np.s_[...]):
    """Hold two travels against each other, to the last digits."""
    assert outputs(got).keys() == outputs(wanted).keys()
    for name, numbers in outputs(wanted).items():
        assert_allclose(outputs(got)[name][cut], numbers, rtol=1e-13, atol=1e-14)


def test_every_output_has_the_shape_of_the_angles():
    out = travel(LEFT, np.zeros((4, 2)))

    for name, numbers in outputs(out).items():
        assert numbers.shape == ((4, 2, 3) if name == "contact" else (4, 2)), name


def test_one_angle():
    out = travel(LEFT, 0.1)

    for name, numbers in outputs(out).items():
        assert numbers.shape == ((3,) if name == "contact" else ()), name
    same(travel(LEFT, [0.1]), out, np.s_[0])


def test_no_angle_at_all():
    out = travel(LEFT, np.zeros((0,)))
    assert outputs(out)["camber"].shape == (0,)
    assert out.contact.shape == (0, 3)


@pytest.mark.parametrize("block", [1, 7, 30, 1000])
def test_blocks_do_not_show(monkeypatch, block):
    """A single car, in two dimensions, cut anyhow."""
    angles = np.linspace(-0.3, 0.3, 60).reshape(6, 10)
    whole = travel(LEFT, angles)

    monkeypatch.setattr(sweep, "_BLOCK", block)

    same(travel(LEFT, angles), whole)
    for i in (0, 3, 5):
        same(whole, travel(LEFT, angles[i, 4]), np.s_[i, 4])


@pytest.mark.parametrize("block", [1, 5, 1000])
def test_blocks_of_many_cars(monkeypatch, block):
    """Four angles by three cars: the cars stay together, the angles are cut."""
    cars, angles = many_cars(), np.linspace(-0.2, 0.2, 4)[:, None]
    whole = travel(cars, angles)
    assert whole.camber.shape == (4, 3)

    monkeypatch.setattr(sweep, "_BLOCK", block)

    same(travel(cars, angles), whole)
    one = travel(cars, 0.2)
    assert_allclose(one.camber, whole.camber[3], rtol=1e-13)
    assert_allclose(one.contact, whole.contact[3], rtol=1e-13)


@pytest.mark.parametrize("block", [1, 4, 1000])
def test_the_rack_is_cut_with_the_angles(monkeypatch, block):
    """A row of rack travels by a column of angles."""
    angles, racks = np.linspace(-0.1, 0.1, 5)[:, None], np.array([-0.02, 0.0, 0.02])
    monkeypatch.setattr(sweep, "_BLOCK", block)

    out = travel(LEFT, angles, rack=racks)

    assert out.toe.shape == (5, 3)
    for i in (0, 4):
        for j in (0, 1, 2):
            alone = travel(LEFT, angles[i, 0], rack=racks[j])
            assert_allclose(out.toe[i, j], alone.toe, rtol=1e-13)


def test_arms_that_differ_only_in_what_one_output_sees():
    """Batches need not be as wide in every number as in the widest."""
    out = travel(PlanarArm(1.0, 0.4, np.array([0.1, 0.2]), np.ones((3, 1))), [0.0, 0.1])

    assert out.rise.shape == out.rise_slope.shape == out.twist.shape == (3, 2)
    assert_array_equal(out.twist, np.broadcast_to([0.0, 0.1], (3, 2)))
    assert_array_equal(out.rise[0], out.rise[2])


def test_what_is_not_known_stays_so():
    """An angle that is no number gives outputs that are none."""
    out = travel(LEFT, [np.nan, 0.0])
    assert np.isnan(out.camber[0])
    assert np.isfinite(out.camber[1])


def test_the_room_for_a_block_is_all_that_is_needed(monkeypatch):
    """A hundred blocks take no more memory on the way than a few."""
    monkeypatch.setattr(sweep, "_BLOCK", 512)
    beyond = []
    for blocks in (4, 100):
        angles = np.linspace(-0.2, 0.2, 512 * blocks)
        tracemalloc.start()
        out = travel(LEFT, angles)
        kept = sum(numbers.nbytes for numbers in outputs(out).values())
        beyond.append(tracemalloc.get_traced_memory()[1] - kept)
        tracemalloc.stop()
    assert beyond[1] < beyond[0] + 200_000
