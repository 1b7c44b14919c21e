"""Where the four wheels point together: thrust line and steering-wheel centre.

Headings are positive to the left (ISO 8855: turns about the upward axis).  A left
wheel toed in by t heads −t, a right one +t.
"""

from __future__ import annotations

from dataclasses import dataclass

from splinewise.core.alignment.known import Known, Reading, propagated, read
from splinewise.core.jet import Number
from splinewise.core.quantities import positive

__all__ = ["WheelLines", "wheel_lines"]


@dataclass(frozen=True, slots=True, eq=False)
class WheelLines:
    """What the toe of four wheels comes to.

    Attributes
    ----------
    front_total, rear_total : Known, shape (...)
        Total toe of each axle, positive toe-in. [rad]
    thrust : Known, shape (...)
        Heading of the rear axle's wheels together, positive to the left: the way the
        car goes. [rad]
    front_heading : Known, shape (...)
        Heading of the front wheels together with the steering wheel in its middle.
        [rad]
    steer_needed : Known, shape (...)
        By how much the front wheels must be steered to follow the thrust line,
        positive to the left. [rad]
    steering_wheel : Known, shape (...)
        Where the steering wheel then stands, positive turned to the left. [rad]
    """

    front_total: Known
    rear_total: Known
    thrust: Known
    front_heading: Known
    steer_needed: Known
    steering_wheel: Known


def wheel_lines(
    front: tuple[Reading, Reading],
    rear: tuple[Reading, Reading],
    *,
    steering_ratio: Reading,
) -> WheelLines:
    """Return thrust line and steering-wheel centre from the toe of each wheel.

    Thrust (t_RR − t_RL)/2, front heading (t_FR − t_FL)/2; running straight, the front
    wheels head as the rear ones do, so the steering wheel stands off its middle by
    the ratio times (thrust − front heading) (own derivation, both wheels of an axle
    taken to slip alike).  A skew of the vehicle's length against which toe was read
    adds the same to both headings and drops out of the last two.

    Parameters
    ----------
    front, rear : tuple of Known or array_like, shape (...)
        Toe of the left and of the right wheel to the vehicle's length, positive
        toe-in; front wheels read with the steering wheel in its middle. [rad]
    steering_ratio : Known or array_like, shape (...)
        Turn of the steering wheel for each turn of the road wheels. [1]

    Returns
    -------
    WheelLines, shape (...)
        Total toe, headings, and where the steering wheel stands. [rad]
    """
    ratio = read("steering_ratio", steering_ratio, "")
    positive("steering_ratio", ratio.value, "")

    def formula(
        fl: Number, fr: Number, rl: Number, rr: Number, i: Number
    ) -> list[Number]:
        thrust, heading = 0.5 * (rr - rl), 0.5 * (fr - fl)
        steer = thrust - heading
        return [fl + fr, rl + rr, thrust, heading, steer, i * steer]

    names = ("front left toe", "front right toe", "rear left toe", "rear right toe")
    toes = [
        read(name, toe, "rad") for name, toe in zip(names, (*front, *rear), strict=True)
    ]
    return WheelLines(*propagated(formula, *toes, ratio))
