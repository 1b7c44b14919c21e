"""Rounding to stock: the first is the best there is, by trying everything."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from shimmed import DEGREE, MM, corner, plain, put_together
from splinewise.core.alignment.corners import WishboneCorner
from splinewise.core.alignment.knobs import Shim
from splinewise.core.alignment.reach import Cross, Side, reach, reach_both
from splinewise.core.alignment.rounding import rounded, rounded_both
from splinewise.core.alignment.shims import EccentricBolt
from splinewise.core.alignment.stock import made_up, pack_totals
from splinewise.core.alignment.targets import Target, Wanted
from splinewise.core.jet import value
from wishbones import EXAMPLE, Upright

INCH = 25.4 * MM
STOCK = (Shim(0.8 * MM), Shim(1.6 * MM), Shim(3.2 * MM))
WANTED = Wanted(
    Target(-0.5 * DEGREE, 0.1 * DEGREE),
    Target(4.5 * DEGREE, 0.25 * DEGREE),
    Target(0.1 * DEGREE, 0.05 * DEGREE),
)
STANDS = 0.05


def side(where=1.0, stock=STOCK, **options):
    return Side(corner(where, stock=stock, **options), WANTED, STANDS)


# ---- packs ----


def test_packs_in_inch_fractions():
    """1/32, 1/16 and 1/8 in shims make every 1/32 up to the limit."""
    stock = [Shim(INCH / 32), Shim(INCH / 16), Shim(INCH / 8)]

    totals = pack_totals(stock, 0.75 * INCH)

    assert_allclose(totals, np.arange(25) * INCH / 32, atol=1e-12)


def test_packs_of_a_stock_that_runs_out():
    """Two of 1 mm and one of 3 mm: 0, 1, 2, 3, 4 and 5 mm."""
    totals = pack_totals([Shim(1 * MM, 2), Shim(3 * MM, 1)], 20 * MM)

    assert_allclose(totals, np.arange(6) * MM, atol=1e-15)
    assert_allclose(
        pack_totals([Shim(1 * MM, 2), Shim(3 * MM, 1)], 4.5 * MM)[-1], 4 * MM
    )


shims = st.lists(
    st.tuples(
        st.sampled_from([5, 7, 10, 16, 30]), st.one_of(st.none(), st.integers(0, 3))
    ),
    min_size=1,
    max_size=3,
    unique_by=lambda pair: pair[0],
).map(lambda pairs: tuple(Shim(t * 0.1 * MM, n) for t, n in pairs))


@settings(max_examples=60)
@given(shims, st.lists(st.integers(0, 60), min_size=1, max_size=3))
def test_packs_are_made_with_the_fewest_pieces(stock, tenths):
    """Against every way to fill every pack, tried one by one."""
    packs = [t * 0.1 * MM for t in tenths]
    kinds = [round(shim.thickness / (0.1 * MM)) for shim in stock]

    def ways(total):
        most = [
            min(total // k, total if s.count is None else s.count)
            for k, s in zip(kinds, stock, strict=True)
        ]
        for way in product(*(range(m + 1) for m in most)):
            if sum(n * k for n, k in zip(way, kinds, strict=True)) == total:
                yield way

    def bears(made):
        used = np.sum(np.array(made), axis=0)
        return all(
            s.count is None or u <= s.count for s, u in zip(stock, used, strict=True)
        )

    every = [list(ways(t)) for t in tenths]
    best = min(
        (sum(map(sum, made)) for made in product(*every) if bears(made)), default=None
    )
    found = made_up(stock, packs)

    if best is None:
        assert found is None
    else:
        assert bears(found)
        assert sum(map(sum, found)) == best
        for way, total in zip(found, tenths, strict=True):
            assert sum(n * k for n, k in zip(way, kinds, strict=True)) == total


# ---- one side ----


@pytest.mark.parametrize("step", [0.0, 1 / 6])
def test_the_first_is_the_best_of_all(step):
    """Every pair of packs, and every step of the rod or a fine scan of it."""
    one = side(step=step, most=12 * MM)
    result = rounded(one, reach(one), keep=5)
    totals = pack_totals(STOCK, 12 * MM)[4:]
    turns = np.arange(-12, 13) / 6 if step else np.linspace(-1.0, 1.0, 101)
    scores = []
    for front, rear in product(totals, totals):
        if abs(front - rear) <= 10 * MM:
            rows = [np.full(len(turns), front), np.full(len(turns), rear), turns]
            angles = np.stack([value(a) for a in one.angles(rows)], axis=-1)
            off = np.sum(((angles - WANTED.values) / WANTED.within) ** 2, axis=-1)
            at = int(np.argmin(off))
            scores.append((float(off[at]), front, rear, turns[at]))
    scores.sort()

    assert result.whole
    for (found,), (score, front, rear, n) in zip(result.best, scores, strict=False):
        assert_allclose(found.settings[:2], [front, rear], atol=1e-12)
        if step:
            assert_allclose(found.settings[2], n, atol=1e-9)
            assert_allclose(found.score, score, rtol=1e-9)
        else:
            assert found.score <= score + 1e-12
            assert_allclose(found.settings[2], n, atol=0.011)


@pytest.mark.independent
@pytest.mark.parametrize("where", [1.0, -1.0])
def test_the_remainder_is_as_announced(where):
    """The rounded shims put on by hand, joints by SciPy, pose by constraints."""
    one = side(where, step=1 / 6)
    ((found,), *_) = rounded(one, reach(one)).best
    ball, outer, hub, spindle = put_together(one.corner, *found.settings)
    new = plain(one.corner.adjusted(list(found.settings)))
    upright = Upright(
        replace(
            one.corner.points,
            upper_front=new.upper_front,
            upper_rear=new.upper_rear,
            upper_ball=ball,
            rod_outer=outer,
            wheel_centre=hub,
            spindle=spindle,
        ),
        where,
    )
    reading = upright.reading(upright.sweep([0.02, STANDS])[-1], STANDS)

    for at, name in enumerate(("camber", "caster", "toe")):
        left_over = reading[name] - WANTED.values[at]
        assert_allclose(left_over, found.remainder.array[at], atol=1e-9)
        assert_allclose(reading[name], found.angles.array[at], atol=1e-9)
    assert found.inside == bool(np.all(np.abs(found.remainder.array) <= WANTED.within))
    for size, pieces in zip(found.settings, found.pieces, strict=True):
        if pieces:
            made = sum(n * s.thickness for n, s in zip(pieces, STOCK, strict=True))
            assert_allclose(made, size, atol=1e-12)


def test_a_pack_may_stay_as_it_is():
    """The pack that is on now is right; no shim in the drawer makes it."""
    one = side(now=6.13 * MM)
    angles = np.array([float(value(a)) for a in one.angles([6.13 * MM] * 2 + [0.0])])
    goal = Wanted(
        *(Target(float(a), w) for a, w in zip(angles, WANTED.within, strict=True))
    )
    one = replace(one, wanted=goal)

    ((found,), *_) = rounded(one, reach(one)).best

    assert_allclose(found.settings, [6.13 * MM, 6.13 * MM, 0.0], atol=1e-12)
    assert found.pieces == ((), (), ())
    assert found.inside


def test_equal_scores_are_ranked_by_labour():
    """Caster and camber of no account: the packs stay, and only the rod is turned."""
    one = replace(side(), wanted=Wanted(toe=WANTED.toe))

    ((found,), *_) = rounded(one, reach(one)).best

    assert found.inside
    assert abs(found.score) < 1e-12
    assert sum(map(sum, found.pieces)) <= 4


def test_with_two_free_knobs_both_are_set_again():
    """Packs above, and below an eccentric that may turn: the rest is met exactly."""
    whole = corner(stock=STOCK)
    bolt = EccentricBolt("lower_front", 6 * MM, (0.0, -1.0, 0.0), 0.0)
    both = WishboneCorner(EXAMPLE, 1.0, (*whole.adjusters, bolt))
    camber_and_toe = Wanted(camber=WANTED.camber, toe=WANTED.toe)
    one = Side(both, camber_and_toe, STANDS)

    result = rounded(one, reach(one))
    ((found,), *_) = result.best
    seen = [float(value(a)) for a in one.angles(list(found.settings))]

    assert found.score < 1e-15
    assert_allclose([seen[0], seen[2]], [-0.5 * DEGREE, 0.1 * DEGREE], atol=1e-10)
    # Somewhere in the grid an eccentric is at its end, where the rod might do better.
    assert not result.whole


def test_a_search_that_is_cut_says_so():
    """Shims of a tenth: 40 000 pairs of packs, of which the nearest are tried."""
    fine = (Shim(0.1 * MM), Shim(0.5 * MM), Shim(2.0 * MM))
    one = side(stock=fine)

    result = rounded(one, reach(one))

    assert not result.whole
    assert result.best[0][0].inside
    assert result.best[0][0].score < 0.02


def test_a_drawer_of_no_use():
    """Shims thicker than any pack: packs stay as they are or go."""
    one = side(stock=(Shim(30 * MM),))
    result = rounded(one, reach(one), keep=4)

    sizes = {tuple(np.round(found.settings[:2] / MM, 6)) for (found,) in result.best}
    assert sizes == set(product((0.0, 6.4), repeat=2))


# ---- both sides ----


def test_both_sides_share_the_drawer():
    """Four packs from one stock, against every pair of rows and every sharing."""
    stock = (Shim(1.6 * MM, 6), Shim(3.2 * MM, 8))
    sides = [side(x, stock=stock, most=16 * MM) for x in (1.0, -1.0)]
    sides[1] = replace(
        sides[1], wanted=replace(WANTED, camber=Target(0.0, 0.1 * DEGREE))
    )
    cross = Cross(camber=0.1 * DEGREE, caster=0.2 * DEGREE)
    exact = reach_both(*sides, cross=cross)

    result = rounded_both(*sides, exact, cross=cross, keep=4)
    left, right = result.best[0]

    assert result.whole
    used = np.sum([p for one in (left, right) for p in one.pieces if p], axis=0)
    assert np.all(used <= [6, 8])

    def gaps(a, b):
        off = np.array(a.angles.array[:2]) - b.angles.array[:2]
        want = sides[0].wanted.values[:2] - sides[1].wanted.values[:2]
        return np.sum(((off - want) / [0.1 * DEGREE, 0.2 * DEGREE]) ** 2)

    alone = [rounded(s, e, keep=60).best for s, e in zip(sides, exact, strict=True)]
    best = np.inf
    for (a,), (b,) in product(*alone):
        sizes = [*a.settings[:2], *b.settings[:2]]
        if made_up(stock, sizes) is not None:
            best = min(best, a.score + b.score + gaps(a, b))
    assert_allclose(left.score + right.score + gaps(left, right), best, rtol=1e-9)


def test_mirrored_sides_get_the_same():
    """Enough of everything: both sides the same packs and turns."""
    sides = [side(x, step=1 / 6) for x in (1.0, -1.0)]
    result = rounded_both(*sides, reach_both(*sides))
    left, right = result.best[0]

    assert_allclose(left.settings, right.settings, atol=1e-12)
    assert left.pieces == right.pieces
    assert_allclose(
        left.settings, rounded(sides[0], reach(sides[0])).best[0][0].settings
    )
