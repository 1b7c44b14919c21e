"""What comes of letting the whole car stand on its wheels."""

from __future__ import annotations

from dataclasses import dataclass

from splinewise.tasks.values import Value

__all__ = ["Effect", "HeightAt", "StandResult", "StandsOn"]


@dataclass(frozen=True, slots=True)
class StandsOn:
    """One wheel of the standing car.

    Attributes
    ----------
    name, side : str
        Which wheel. [1]
    load : Value
        Force between tyre and floor. [N]
    rise : Value
        Rise of the wheel from the drawn position. [m]
    ride_height : Value
        Ride height, as the file measures it; NaN where it does not say. [m]
    slack_angle : Value
        Arm angle with the bar slack; NaN without a bar. [rad]
    slack_from : str
        What the slack angle was taken from. [1]
    twist : Value
        Twist of the bar from slack; NaN without a bar. [rad]
    stress : Value
        Shear stress at the bar's surface; NaN without a bar. [Pa]
    share : Value
        Stress over its limit; NaN without a bar. [1]
    wheel_rate, ride_rate : Value
        Rate at the wheel, alone and in series with the tyre. [N/m]
    frequency : Value
        Ride frequency. [Hz]
    where : str
        "on its spring", "on the bump stop", "on the rebound stop" or "off the
        floor". [1]
    """

    name: str
    side: str
    load: Value
    rise: Value
    ride_height: Value
    slack_angle: Value
    slack_from: str
    twist: Value
    stress: Value
    share: Value
    wheel_rate: Value
    ride_rate: Value
    frequency: Value
    where: str


@dataclass(frozen=True, slots=True)
class HeightAt:
    """Height of a named point of the body.

    Attributes
    ----------
    name : str
        The point. [1]
    height : Value
        Its height above the level from which the floor is counted. [m]
    drawn : Value
        The same at the drawn position. [m]
    wanted : Value
        What is wanted; NaN if nothing is. [m]
    """

    name: str
    height: Value
    drawn: Value
    wanted: Value


@dataclass(frozen=True, slots=True)
class Effect:
    """What a small change does.

    Attributes
    ----------
    cause : str
        The change in words. [1]
    heights : tuple of Value
        Change of the height of each named point. [m]
    loads : tuple of Value
        Change of the load of each wheel. [N]
    """

    cause: str
    heights: tuple[Value, ...]
    loads: tuple[Value, ...]


@dataclass(frozen=True, slots=True)
class StandResult:
    """The whole car standing on its wheels.

    Attributes
    ----------
    car : str
        The car. [1]
    setting : str
        Where the slack angles come from, in words. [1]
    stands : bool
        Whether it comes to rest on its wheels. [1]
    level : bool
        Whether the two sides of every axle stand within `tolerance`. [1]
    fits : bool
        Whether it stands, level, with every wheel on the floor and off its stops. [1]
    tolerance : Value
        How far the sides of an axle may differ; `standing` "assumed" where the file
        does not say. [m]
    wheels : tuple of StandsOn
        Its wheels, in the file's order, those on bars first. [1]
    heights : tuple of HeightAt
        Heights of the named points. [m]
    uneven : tuple of (str, Value)
        For each axle how much higher the body stands over its left wheel. [m]
    weight : Value
        Sum of the wheels' loads. [N]
    front, left, cross : Value
        Shares of the front, of the left, and of the diagonal from the right front to
        the left rear; NaN where it has not four wheels. [1]
    roll, pitch : Value
        Lean, right side down positive; rake, nose down positive. [rad]
    heave_frequency : Value
        Frequency of the body in heave alone. [Hz]
    roll_rate, pitch_rate : Value
        Moment per lean and per rake about the stand. [N·m/rad]
    effects : tuple of Effect
        What small changes do. [1]
    broken : tuple of str
        Why it does not fit, a sentence each. [1]
    assumed : tuple of str
        What was taken for want of knowledge. [1]
    cautions : tuple of str
        Safety sentences. [1]
    """

    car: str
    setting: str
    stands: bool
    level: bool
    fits: bool
    tolerance: Value
    wheels: tuple[StandsOn, ...]
    heights: tuple[HeightAt, ...]
    uneven: tuple[tuple[str, Value], ...]
    weight: Value
    front: Value
    left: Value
    cross: Value
    roll: Value
    pitch: Value
    heave_frequency: Value
    roll_rate: Value
    pitch_rate: Value
    effects: tuple[Effect, ...]
    broken: tuple[str, ...]
    assumed: tuple[str, ...]
    cautions: tuple[str, ...]
