"""What one potential adds to the forces out of balance, by (z, u, v, θ)."""

from __future__ import annotations

from dataclasses import dataclass

from splinewise.core.quantities import Array
from splinewise.core.vehicle.attitude import Height

__all__ = ["Part", "of_height"]


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """Slopes and curvatures of a potential of heave, lean and one arm angle.

    Attributes
    ----------
    z, u, v, t : ndarray, shape (...)
        First derivatives, t being the arm angle. [N]
    zz, zu, zv, zt, uu, uv, vv, ut, vt, tt : ndarray, shape (...)
        Second derivatives. [N/m]
    """

    z: Array
    u: Array
    v: Array
    t: Array
    zz: Array | float
    zu: Array | float
    zv: Array | float
    zt: Array | float
    uu: Array
    uv: Array
    vv: Array
    ut: Array
    vt: Array
    tt: Array

    def __add__(self, other: Part) -> Part:
        return Part(
            *(
                getattr(self, name) + getattr(other, name)
                for name in Part.__dataclass_fields__
            )
        )


def of_height(h: Height, first: Array, second: Array | None = None) -> Part:
    """Return what a potential f of a height h adds.

    Parameters
    ----------
    h : Height, shape (...)
        The height, less that of the body's origin. [m]
    first : ndarray, shape (...)
        f', the force downwards. [N]
    second : ndarray or None, shape (...)
        f''; None for a weight, which is the same at all heights. [N/m]

    Returns
    -------
    Part, shape (...)
        f' ∇h, and f' ∇∇h + f'' ∇h ∇hᵀ. [N]
    """
    uu, uv, vv = first * h.uu, first * h.uv, first * h.vv
    ut, vt, tt = first * h.ut, first * h.vt, first * h.tt
    z, u, v, t = first, first * h.u, first * h.v, first * h.t
    if second is None:
        return Part(z, u, v, t, 0.0, 0.0, 0.0, 0.0, uu, uv, vv, ut, vt, tt)
    ku, kv, kt = second * h.u, second * h.v, second * h.t
    return Part(
        z,
        u,
        v,
        t,
        second,
        ku,
        kv,
        kt,
        uu + ku * h.u,
        uv + ku * h.v,
        vv + kv * h.v,
        ut + ku * h.t,
        vt + kv * h.t,
        tt + kt * h.t,
    )
