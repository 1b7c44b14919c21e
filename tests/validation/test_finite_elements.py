"""Torsion of solid sections against scikit-fem, a general-purpose finite-element library.

Prandtl's problem, ∇²φ = −2 inside and φ = 0 on the edge, with six-node triangles:
J = 2 ∫φ dA, and the largest shear stress per G θ' is the largest slope of φ on the edge.
Nothing is shared with the series and constants of the core.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from skfem import (
    Basis,
    BilinearForm,
    ElementTriP2,
    FacetBasis,
    LinearForm,
    MeshTri,
    condense,
    solve,
)
from skfem.helpers import dot, grad

from splinewise.core.section import (
    hexagon_section,
    rectangle_section,
    round_section,
    square_section,
)

pytestmark = pytest.mark.independent


@BilinearForm
def stiffness(u, v, _):
    return dot(grad(u), grad(v))


@LinearForm
def load(v, _):
    return 2.0 * v


def torsion(mesh):
    """Return J, the largest slope of φ on the edge, and where that is."""
    basis = Basis(mesh, ElementTriP2())
    phi = solve(
        *condense(stiffness.assemble(basis), load.assemble(basis), D=basis.get_dofs())
    )
    edge = FacetBasis(mesh, ElementTriP2())
    slope = np.sqrt(np.sum(edge.interpolate(phi).grad ** 2, axis=0))
    where = np.unravel_index(np.argmax(slope), slope.shape)
    place = np.asarray(edge.global_coordinates())[:, *where]
    return phi @ load.assemble(basis), slope[where], place


def rectangle(width, height, elements):
    """Mesh a rectangle about the origin, `elements` across its height."""
    along = int(elements * width / height)
    return MeshTri.init_tensor(
        np.linspace(-width / 2.0, width / 2.0, along + 1),
        np.linspace(-height / 2.0, height / 2.0, elements + 1),
    )


def polygon(corners, radius, refinements):
    """Mesh a regular polygon about the origin, a corner on the x axis."""
    angles = 2.0 * np.pi * np.arange(corners) / corners
    ring = radius * np.array([np.cos(angles), np.sin(angles)])
    points = np.hstack([np.zeros((2, 1)), ring])
    first = np.arange(corners)
    cells = np.array([np.zeros(corners, int), 1 + first, 1 + (first + 1) % corners])
    return MeshTri(points, cells).refined(refinements)


def check(section, mesh, *, constant=1e-5, stress=1e-3):
    """Compare J and the largest stress; return where the stress is largest.

    On these meshes J comes within 3e-6, and the stress, a slope, within 4e-4.
    """
    J, slope, place = torsion(mesh)

    assert_allclose(section.torsion_constant, J, rtol=constant)
    largest = section.torsion_constant / section.torsion_modulus
    assert_allclose(largest, slope, rtol=stress)
    return place


def test_square():
    """Stressed most at the middle of a side."""
    x, y = check(square_section(1.0), rectangle(1.0, 1.0, 32))

    assert min(abs(x), abs(y)) == pytest.approx(0.0, abs=0.05)


@pytest.mark.parametrize("ratio", [1.5, 3.0])
def test_rectangle(ratio):
    """Stressed most at the middle of the longer side."""
    x, y = check(rectangle_section(ratio, 1.0), rectangle(ratio, 1.0, 32))

    assert abs(y) == pytest.approx(0.5)
    assert x == pytest.approx(0.0, abs=0.1)


def test_hexagon():
    """1 across flats, stressed most at the middle of a side."""
    place = check(hexagon_section(1.0), polygon(6, 1.0 / np.sqrt(3.0), 5))

    assert np.hypot(*place) == pytest.approx(0.5, abs=0.005)


def test_the_elements_themselves_on_a_round_bar():
    """A polygon of 96 corners, of the circle's own area: as good as its flats allow."""
    radius = np.sqrt(2.0 * np.pi / (96 * np.sin(2.0 * np.pi / 96)))

    check(round_section(2.0), polygon(96, radius, 3), constant=1e-4, stress=1e-2)
