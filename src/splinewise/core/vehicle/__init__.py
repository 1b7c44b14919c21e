"""The whole vehicle: a rigid body standing on its corners."""

from splinewise.core.vehicle.attitude import Attitude
from splinewise.core.vehicle.balance import balance
from splinewise.core.vehicle.friction import Band, friction_band
from splinewise.core.vehicle.hard_points import by_hard_points
from splinewise.core.vehicle.inverse import Outcome, Reached, slack_for_wants
from splinewise.core.vehicle.loads import (
    Centre,
    Shares,
    centre_of_loads,
    height_by_raised_axle,
    least_loads,
    shares,
    without,
)
from splinewise.core.vehicle.modes import (
    Modes,
    axle_frequency,
    modes,
    sprung_centre,
)
from splinewise.core.vehicle.parts import (
    Body,
    Corner,
    Joined,
    Load,
    MassAt,
    SpringAt,
    Vehicle,
)
from splinewise.core.vehicle.reasons import Reason, Remark, Why, remarks, why
from splinewise.core.vehicle.response import Effect
from splinewise.core.vehicle.sensitivity import (
    Sensitivities,
    by_push,
    by_slack,
    sensitivities,
)
from splinewise.core.vehicle.stand import Stand, stand
from splinewise.core.vehicle.wanted import HeightWanted, LoadsWanted

__all__ = [
    "Attitude",
    "Band",
    "Body",
    "Centre",
    "Corner",
    "Effect",
    "HeightWanted",
    "Joined",
    "Load",
    "LoadsWanted",
    "MassAt",
    "Modes",
    "Outcome",
    "Reached",
    "Reason",
    "Remark",
    "Sensitivities",
    "Shares",
    "SpringAt",
    "Stand",
    "Vehicle",
    "Why",
    "axle_frequency",
    "balance",
    "by_hard_points",
    "by_push",
    "by_slack",
    "centre_of_loads",
    "friction_band",
    "height_by_raised_axle",
    "least_loads",
    "modes",
    "remarks",
    "sensitivities",
    "shares",
    "slack_for_wants",
    "sprung_centre",
    "stand",
    "why",
    "without",
]
