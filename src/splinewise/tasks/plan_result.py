"""What a plan holds: the setting of one corner and what it gives."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from splinewise.tasks.values import Value

__all__ = ["Goal", "Plan", "PlannedLength", "Sensitivity", "StressAt"]


@dataclass(frozen=True, slots=True)
class Goal:
    """What the plan is made for.

    Attributes
    ----------
    kind : str
        "published", "ride height" or "match". [1]
    words : str
        The goal in one clause. [1]
    wanted : Value
        The length or angle wanted. [m or rad]
    source : str
        Where it came from. [1]
    """

    kind: Literal["published", "ride height", "match"]
    words: str
    wanted: Value
    source: str


@dataclass(frozen=True, slots=True)
class PlannedLength:
    """One dimension at the planned setting.

    Attributes
    ----------
    name, fixed, moving : str
        The dimension and its two points. [1]
    slack : Value
        Its length with the bar slack. [m]
    standing : Value
        Its length with the car on its wheels. [m]
    per_angle : Value
        Change of the slack length with arm angle. [m/rad]
    """

    name: str
    fixed: str
    moving: str
    slack: Value
    standing: Value
    per_angle: Value


@dataclass(frozen=True, slots=True)
class StressAt:
    """The bar at one place of the travel.

    Attributes
    ----------
    where : str
        "ride", "bump stop" or "rebound stop". [1]
    arm_angle : Value
        Arm angle there. [rad]
    torque, stress : Value
        Torque in the bar; shear stress at its surface. [N·m, Pa]
    share : Value
        Stress over the limit. [1]
    energy : Value
        Energy stored in the bar. [J]
    """

    where: str
    arm_angle: Value
    torque: Value
    stress: Value
    share: Value
    energy: Value


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """What a small change does to the ride height; up is positive.

    Attributes
    ----------
    cause : str
        The change in words. [1]
    height : Value
        Change of ride height. [m]
    """

    cause: str
    height: Value


@dataclass(frozen=True, slots=True)
class Plan:
    """The setting of one corner and what it gives.

    Attributes
    ----------
    car, corner, side, layout : str
        Which corner. [1]
    goal : Goal
        What was wanted. [1]
    slack_angle : Value
        Arm angle with the bar slack, from the drawn position. [rad]
    slack_slope : Value
        The same as the arm's angle above level. [rad]
    lengths : tuple of PlannedLength
        Setting length and check dimensions. [m]
    arm_angle : Value
        Arm angle standing. [rad]
    rise : Value
        Rise of the wheel from the drawn position, standing. [m]
    ride_height : Value
        Ride height standing; NaN if the file does not say where it is measured. [m]
    ride_height_where : str
        Where it is measured. [1]
    bar : str
        The bar in words. [1]
    bar_rate, load : Value
        Bar rate and sprung load used. [N·m/rad, N]
    twist : Value
        Twist of the bar standing. [rad]
    stresses : tuple of StressAt
        Stress at ride and at the stops. [Pa]
    limit : Value
        Stress limit used. [Pa]
    limit_source : str
        Where it came from. [1]
    bump_left, rebound_left : Value
        Wheel travel left to each stop. [m]
    stops_known : tuple of bool
        Whether the file gave the rebound and the bump stop; else the figure is up
        to where the linkage locks. [1]
    wheel_rate, wheel_rate_plain : Value
        Rate at the wheel, with and without the geometric term. [N/m]
    frequency : Value
        Ride frequency of the sprung load on the wheel rate. [Hz]
    sensitivities : tuple of Sensitivity
        What small changes do. [m]
    height_doubts : tuple of Sensitivity
        What each cause adds to the doubt of the ride height. [m]
    breaks : tuple of str
        The limits that the setting breaks, a sentence each: stress, or the wanted
        height with its tolerance. [1]
    warnings, assumed : tuple of str
        What else wants attention; what was taken for want of knowledge. [1]
    fits : bool
        Whether it breaks no limit. [1]
    cautions : tuple of str
        Safety sentences. [1]
    """

    car: str
    corner: str
    side: str
    layout: str
    goal: Goal
    slack_angle: Value
    slack_slope: Value
    lengths: tuple[PlannedLength, ...]
    arm_angle: Value
    rise: Value
    ride_height: Value
    ride_height_where: str
    bar: str
    bar_rate: Value
    load: Value
    twist: Value
    stresses: tuple[StressAt, ...]
    limit: Value
    limit_source: str
    bump_left: Value
    rebound_left: Value
    stops_known: tuple[bool, bool]
    wheel_rate: Value
    wheel_rate_plain: Value
    frequency: Value
    sensitivities: tuple[Sensitivity, ...]
    height_doubts: tuple[Sensitivity, ...]
    breaks: tuple[str, ...]
    warnings: tuple[str, ...]
    assumed: tuple[str, ...]
    fits: bool
    cautions: tuple[str, ...]
