"""Caster and steering-axis inclination from a steering sweep about the axis itself.

The wheel is steered out and in by equal angles and its camber read at either end.
With the brakes on, a gauge along the wheel also shows how its level line f tips: that
is the sweep for the inclination.

About the steering axis k by ±θ (Rodrigues), a vector v gets
v_z(+θ) − v_z(−θ) = 2 (k × v)_z sin θ; with v = s, the spindle, and v = f this is
exact (own derivation; axes and signs in `steering_axis`).  The angle that a turntable
shows is not θ but that of the road wheel: for it, use `turntable_readings`.

References
----------
.. [1] *Shop manual 1942-47*, Chevrolet, pp. 3-9, 3-11, 3-17: 20° out, zero, 20° in,
   read (the procedure was read; it gives no formula).
.. [2] NAVEDTRA 14273, figure 8-57: the same, in first and then out (read).
"""

from __future__ import annotations

from splinewise.core.alignment.known import Known, Reading, propagated
from splinewise.core.alignment.steering_axis import SteeringAxis, steered, tilts
from splinewise.core.jet import Number, arcsin, arctan2, cos, sin, sqrt, square

__all__ = ["axis_about_king_pin", "caster_about_king_pin", "workshop_sweep"]


def workshop_sweep(out: Reading, into: Reading, turn: Reading) -> Known:
    """Caster or inclination as the workshop finds it, (out − in)/(2 sin θ).

    From the camber it is the caster, from the tip of the braked wheel the
    inclination.  At 20° the factor is 1.462; gauges round it to 1.5 (a fitter's
    account was read).  Good for small angles only; `caster_on_turntables` is exact.

    Parameters
    ----------
    out, into : Known or array_like, shape (...)
        Camber, or tip of the wheel's level line, front up, steered out and steered
        in. [rad]
    turn : Known or array_like, shape (...)
        Angle θ steered to either side. [rad]

    Returns
    -------
    Known, shape (...)
        Caster, or inclination. [rad]
    """
    return propagated(
        lambda a, b, turned: [(a - b) / (2.0 * sin(turned))],
        *tilts(out=out, into=into),
        *steered(turn),
    )[0]


def caster_about_king_pin(
    out: Reading,
    into: Reading,
    turn: Reading,
    *,
    inclination: Reading,
    camber: Reading = 0.0,
    toe: Reading = 0.0,
) -> Known:
    """Caster from cambers after equal turns about the steering axis itself; exact.

    (sin c₊ − sin c₋)/(2 sin θ cos c) = −k_x cos t + k_y sin t.

    Parameters
    ----------
    out, into : Known or array_like, shape (...)
        Camber steered out and steered in. [rad]
    turn : Known or array_like, shape (...)
        Turn θ about the steering axis to either side. [rad]
    inclination : Known or array_like, shape (...)
        Steering-axis inclination. [rad]
    camber, toe : Known or array_like, shape (...), default 0
        Of the wheel straight ahead. [rad]

    Returns
    -------
    Known, shape (...)
        Caster. [rad]
    """

    def formula(
        a: Number, b: Number, th: Number, kpi: Number, c: Number, t: Number
    ) -> list[Number]:
        lean = (sin(a) - sin(b)) / (2.0 * sin(th) * cos(c))
        tangent = sin(kpi) / cos(kpi)
        # With n² = 1 + tan² τ + tan² σ and tan τ = m tan α, m = √(1 + tan² σ), this
        # is lean m = m cos t sin α − tan σ sin t cos α.
        m = sqrt(1.0 + square(tangent))
        p, q = m * cos(t), tangent * sin(t)
        alpha = arcsin(lean * m / sqrt(square(p) + square(q))) + arctan2(q, p)
        return [arctan2(m * sin(alpha), cos(alpha))]

    return propagated(
        formula,
        *tilts(out=out, into=into),
        *steered(turn),
        *tilts(inclination=inclination, camber=camber, toe=toe),
    )[0]


def axis_about_king_pin(
    cambers: tuple[Reading, Reading],
    tips: tuple[Reading, Reading],
    turn: Reading,
    *,
    camber: Reading = 0.0,
    toe: Reading = 0.0,
) -> SteeringAxis:
    """Steering axis from a sweep with braked wheels, turned about it by ±θ; exact.

    With A = (sin c₊ − sin c₋)/(2 sin θ cos c) and B = (sin ρ₊ − sin ρ₋)/(2 sin θ),
    −k_x = A cos t + B sin t and −k_y = B cos t − A sin t.

    Parameters
    ----------
    cambers : tuple of Known or array_like, shape (...)
        Camber steered out and steered in. [rad]
    tips : tuple of Known or array_like, shape (...)
        Tip ρ of the wheel's level line, front up, steered out and steered in. [rad]
    turn : Known or array_like, shape (...)
        Turn θ about the steering axis to either side. [rad]
    camber, toe : Known or array_like, shape (...), default 0
        Of the wheel straight ahead. [rad]

    Returns
    -------
    SteeringAxis, shape (...)
        Caster and inclination. [rad]
    """

    def formula(
        a: Number, b: Number, p: Number, q: Number, th: Number, c: Number, t: Number
    ) -> list[Number]:
        double = 2.0 * sin(th)
        A, B = (sin(a) - sin(b)) / (double * cos(c)), (sin(p) - sin(q)) / double
        back, inboard = A * cos(t) + B * sin(t), B * cos(t) - A * sin(t)
        up = sqrt(1.0 - square(back) - square(inboard))
        return [arctan2(back, up), arctan2(inboard, up)]

    caster, inclination = propagated(
        formula,
        *tilts(out=cambers[0], into=cambers[1]),
        *tilts(tip_out=tips[0], tip_into=tips[1]),
        *steered(turn),
        *tilts(camber=camber, toe=toe),
    )
    return SteeringAxis(caster, inclination)
