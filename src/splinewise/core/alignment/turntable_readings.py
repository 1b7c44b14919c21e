"""Caster and inclination from a sweep on turntables, which show the road wheel's angle.

The wheel turns about its steering axis k by some other angle than its road angle;
but whatever that is, the differences of the spindle s, and of the braked wheel's level
line f, between two places lie square to k (own derivation; axes and signs in
`steering_axis`).  So nothing needs to be searched for.
"""

from __future__ import annotations

from splinewise.core.alignment.known import Known, Reading, propagated
from splinewise.core.alignment.steering_axis import (
    SteeringAxis,
    leans_of,
    level_line_of,
    spindle_of,
    steered,
    tilts,
)
from splinewise.core.geometry import cross
from splinewise.core.jet import Number, arctan2, cos, sin

__all__ = ["axis_from_three_cambers", "axis_on_turntables", "caster_on_turntables"]


def caster_on_turntables(
    out: Reading,
    into: Reading,
    turns: tuple[Reading, Reading],
    *,
    inclination: Reading,
    toe: Reading = 0.0,
) -> Known:
    """Caster from cambers at two angles of the road wheel; exact.

    k·(s₊ − s₋) = 0 gives tan τ = (Δs_z − tan σ Δs_y)/Δs_x, in which the inclination
    hardly counts.

    Parameters
    ----------
    out, into : Known or array_like, shape (...)
        Camber steered out and steered in. [rad]
    turns : tuple of Known or array_like, shape (...)
        Angle of the road wheel on its turntable, out and in, both positive. [rad]
    inclination : Known or array_like, shape (...)
        Steering-axis inclination. [rad]
    toe : Known or array_like, shape (...), default 0
        Toe where the turntables read nought. [rad]

    Returns
    -------
    Known, shape (...)
        Caster. [rad]
    """

    def formula(
        a: Number, b: Number, th: Number, ph: Number, kpi: Number, t: Number
    ) -> list[Number]:
        d = spindle_of(a, t - th) - spindle_of(b, t + ph)
        # Multiplied through by −cos σ, so that both parts are as arctan2 wants them.
        return [arctan2(d.y * sin(kpi) - d.z * cos(kpi), -(d.x * cos(kpi)))]

    return propagated(
        formula,
        *tilts(out=out, into=into),
        *steered(*turns),
        *tilts(inclination=inclination, toe=toe),
    )[0]


def axis_on_turntables(
    cambers: tuple[Reading, Reading],
    tips: tuple[Reading, Reading],
    turns: tuple[Reading, Reading],
    *,
    toe: Reading = 0.0,
) -> SteeringAxis:
    """Steering axis from a sweep with braked wheels on turntables; exact.

    k lies along (s₊ − s₋) × (f₊ − f₋): both differences are square to the axis.

    Parameters
    ----------
    cambers : tuple of Known or array_like, shape (...)
        Camber steered out and steered in. [rad]
    tips : tuple of Known or array_like, shape (...)
        Tip of the wheel's level line, front up, steered out and steered in. [rad]
    turns : tuple of Known or array_like, shape (...)
        Angle of the road wheel on its turntable, out and in, both positive. [rad]
    toe : Known or array_like, shape (...), default 0
        Toe where the turntables read nought. [rad]

    Returns
    -------
    SteeringAxis, shape (...)
        Caster and inclination. [rad]
    """

    def formula(
        a: Number, b: Number, p: Number, q: Number, th: Number, ph: Number, t: Number
    ) -> list[Number]:
        d = spindle_of(a, t - th) - spindle_of(b, t + ph)
        return leans_of(
            cross(d, level_line_of(a, t - th, p) - level_line_of(b, t + ph, q))
        )

    caster, inclination = propagated(
        formula,
        *tilts(out=cambers[0], into=cambers[1]),
        *tilts(tip_out=tips[0], tip_into=tips[1]),
        *steered(*turns),
        *tilts(toe=toe),
    )
    return SteeringAxis(caster, inclination)


def axis_from_three_cambers(
    camber: Reading,
    out: Reading,
    into: Reading,
    turns: tuple[Reading, Reading],
    *,
    toe: Reading = 0.0,
) -> SteeringAxis:
    """Steering axis from three cambers on turntables, without brakes; exact.

    The spindle runs round a circle whose normal is the axis, (s₊ − s₀) × (s₋ − s₀).
    The inclination rests on how far the two ends rise above the middle, so a small
    misreading of camber spoils it; look at its doubt.

    Parameters
    ----------
    camber, out, into : Known or array_like, shape (...)
        Camber straight ahead, steered out and steered in. [rad]
    turns : tuple of Known or array_like, shape (...)
        Angle of the road wheel on its turntable, out and in, both positive. [rad]
    toe : Known or array_like, shape (...), default 0
        Toe where the turntables read nought. [rad]

    Returns
    -------
    SteeringAxis, shape (...)
        Caster and inclination. [rad]
    """

    def formula(
        c: Number, a: Number, b: Number, th: Number, ph: Number, t: Number
    ) -> list[Number]:
        middle = spindle_of(c, t)
        return leans_of(
            cross(spindle_of(a, t - th) - middle, spindle_of(b, t + ph) - middle)
        )

    caster, inclination = propagated(
        formula,
        *tilts(camber=camber, out=out, into=into),
        *steered(*turns),
        *tilts(toe=toe),
    )
    return SteeringAxis(caster, inclination)
