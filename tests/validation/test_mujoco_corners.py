"""Corners come to rest where MuJoCo lets them, from the same hard points.

MuJoCo (E. Todorov and others) is a general multibody engine.  It is given joints and
loops to close, settles by its own dynamics, and knows nothing of our closed forms; see
`engine`.  Its loops give way with the square of its step, and so does the difference.
"""

import itertools

import pytest

from engine_cases import LAYOUTS, LOADS, corner_difference

pytestmark = pytest.mark.independent
each = pytest.mark.parametrize("layout", LAYOUTS)


@each
@pytest.mark.parametrize("load", LOADS)
def test_pressed_corners_rest_alike(layout, load):
    """Places to 1e-5 m, loads to 0.1 %, on either side; in fact far closer."""
    for seed, mirrored in ((1, False), (2, True)):
        apart = corner_difference(layout, load, seed=seed, mirrored=mirrored)

        assert apart.place < 1e-5
        assert apart.load < 1e-3
        assert apart.place < 5e-7
        assert apart.angle < 2e-6
        assert apart.load < 2e-6


@pytest.mark.parametrize("layout", ["double wishbone", "strut"])
def test_what_is_left_shrinks_with_the_engines_step(layout):
    """A fourth for half the step: what differs is how far its loops stand open."""
    steps = [
        corner_difference(layout, LOADS[2], seed=1, step=step)
        for step in (2e-3, 1e-3, 5e-4)
    ]

    for long, short in itertools.pairwise(steps):
        assert short.gap == pytest.approx(long.gap / 4.0, rel=0.1)
        assert short.place == pytest.approx(long.place / 4.0, rel=0.15)
        assert short.load < long.load / 2.5
