"""Shims put on in MuJoCo: the wheel leans and toes as announced.

MuJoCo (E. Todorov and others) is a general multibody engine.  It is given arms on
hinges, an upright on a ball joint, a track rod, and pairs of sites that must coincide;
the shimmed arm's body is set down on the line of the shims.  Its kinematics and
Jacobians close the loops by Newton's method; nothing of the product's is used but the
settings that it announces.
"""

import mujoco
import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.spatial.transform import Rotation

from engine import lifting_axis, text
from shimmed import DEGREE, MM, corner, pivots_after
from splinewise.core.alignment.knobs import Shim
from splinewise.core.alignment.reach import Side, reach
from splinewise.core.alignment.rounding import rounded
from splinewise.core.alignment.targets import Target, Wanted

pytestmark = pytest.mark.independent

STOCK = (Shim(0.8 * MM), Shim(1.6 * MM), Shim(3.2 * MM))
WANTED = Wanted(
    Target(-0.5 * DEGREE, 0.1 * DEGREE),
    Target(4.5 * DEGREE, 0.25 * DEGREE),
    Target(0.1 * DEGREE, 0.05 * DEGREE),
)
MASS = '<inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/>'
PAIRS = [("upper end", "upright top"), ("rod end", "upright lever")]


def site(name, place, extra=""):
    return f'<site name="{name}" pos="{text(place)}"{extra}/>'


def arm(which, p, inside, *, at=(0.0, 0.0, 0.0), turn=(1.0, 0.0, 0.0, 0.0)):
    """An arm on its hinge; its body may be set down elsewhere, turned."""
    front, rear, ball = (getattr(p, f"{which}_{x}") for x in ("front", "rear", "ball"))
    axis = lifting_axis(front, rear, ball)
    return (
        f'<body name="{which}" pos="{text(at)}" quat="{text(turn)}">'
        f'<joint name="{which}" type="hinge" pos="{text(rear)}" axis="{text(axis)}"/>'
        f"{MASS}{inside}</body>"
    )


def shimmed_engine(one, front, rear, turns):
    """The engine's corner, the upper arm on its shims and the rod screwed."""
    p = one.points
    old = np.array([p.upper_front, p.upper_rear])
    new = np.array(pivots_after(one, front, rear))
    turn = Rotation.align_vectors([new[0] - new[1]], [old[0] - old[1]])[0]
    at = new.mean(axis=0) - turn.apply(old.mean(axis=0))
    x, y, z, w = turn.as_quat()
    upper = arm("upper", p, site("upper end", p.upper_ball), at=at, turn=(w, x, y, z))
    spindle = p.spindle / np.linalg.norm(p.spindle)
    upright = (
        f'<body name="upright"><joint type="ball" pos="{text(p.lower_ball)}"/>{MASS}'
        + site("upright top", p.upper_ball)
        + site("upright low", p.lower_ball)
        + site("upright lever", p.rod_outer)
        + site("wheel", p.wheel_centre, f' zaxis="{text(spindle)}"')
        + "</body>"
    )
    along = p.rod_outer - p.rod_inner
    gain = one.adjusters[1].gain * turns / np.linalg.norm(along)
    rod = (
        f'<body name="rod"><joint type="ball" pos="{text(p.rod_inner)}"/>{MASS}'
        + site("rod end", p.rod_outer + gain * along)
        + "</body>"
    )
    return mujoco.MjModel.from_xml_string(
        '<mujoco><compiler angle="radian" inertiafromgeom="false"/><worldbody>'
        f"{arm('lower', p, upright)}{upper}{rod}</worldbody></mujoco>"
    )


def closed(engine, angle):
    """The engine's state with the lower arm at an angle and all loops closed."""
    data = mujoco.MjData(engine)
    held = engine.joint("lower").dofadr[0]
    free = [i for i in range(engine.nv) if i != held]
    for share in np.linspace(0.0, 1.0, 5):
        data.qpos[engine.joint("lower").qposadr[0]] = share * angle
        for _ in range(30):
            mujoco.mj_kinematics(engine, data)
            mujoco.mj_comPos(engine, data)
            gap, rows = [], []
            for one, other in PAIRS:
                place, jacobian = [], []
                for name in (one, other):
                    J = np.zeros((3, engine.nv))
                    mujoco.mj_jacSite(engine, data, J, None, engine.site(name).id)
                    place.append(data.site(name).xpos.copy())
                    jacobian.append(J)
                gap.append(place[0] - place[1])
                rows.append(jacobian[0] - jacobian[1])
            gap, rows = np.concatenate(gap), np.vstack(rows)[:, free]
            # The rod may spin about itself: the least movement leaves that alone.
            step = np.zeros(engine.nv)
            step[free] = -np.linalg.lstsq(rows, gap, rcond=1e-10)[0]
            mujoco.mj_integratePos(engine, data.qpos, step, 1.0)
            if np.max(np.abs(step)) < 1e-14:
                break
    mujoco.mj_kinematics(engine, data)
    assert np.max(np.abs(gap)) < 1e-14
    return data


def seen(data, side):
    """Camber, caster and toe from the engine's own places and directions."""
    s = data.site("wheel").xmat.reshape(3, 3)[:, 2] * side
    s = s * np.sign(s[1] * side)
    axis = data.site("upright top").xpos - data.site("upright low").xpos
    return np.array(
        [-np.arcsin(s[2]), np.arctan(-axis[0] / axis[2]), np.arctan2(s[0], s[1] * side)]
    )


@pytest.mark.parametrize("angle", [-0.06, 0.0, 0.05])
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_the_target_is_met_on_the_engine(side, angle):
    """Exact settings: all three angles to a thousand-millionth of a radian."""
    one = corner(side)
    found = reach(Side(one, WANTED, angle))
    data = closed(shimmed_engine(one, *found.settings), angle)

    assert found.met
    assert_allclose(seen(data, side), WANTED.values, atol=1e-9)


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_the_remainder_is_met_on_the_engine(side):
    """Stock shims and sixths of a turn: what is announced to be left is left."""
    one = Side(corner(side, stock=STOCK, step=1 / 6), WANTED, 0.05)
    for (made,) in rounded(one, reach(one)).best:
        data = closed(shimmed_engine(one.corner, *made.settings), one.angle)

        left_over = seen(data, side) - WANTED.values
        assert_allclose(left_over, made.remainder.array, atol=1e-9)


def test_before_any_shim_the_engine_reads_the_drawing():
    """The engine's corner as it is drawn, at the drawn position."""
    one = corner()
    now = [6.4 * MM, 6.4 * MM, 0.0]
    angles = [float(a) for a in Side(one, WANTED, 0.0).angles(now)]

    assert_allclose(
        seen(closed(shimmed_engine(one, *now), 0.0), 1.0), angles, atol=1e-12
    )
