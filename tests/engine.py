"""Suspensions as a general multibody engine sees them: joints, and loops closed.

Everything here is made from hard points alone: arms are bodies on hinges, ball joints
are ball joints or points held together, a strut slides, a bar is the spring of a hinge.
None of the product's kinematics is used.  MuJoCo integrates the motion, heavily damped,
until nothing moves any more; its constraints give way a little, and the less the
shorter the step.

A tyre is a vertical spring between the floor and the lowest point of the wheel's
circle, worked out from the engine's own orientation of the wheel and applied as a
force of the engine.
"""

from dataclasses import dataclass, field

import mujoco
import numpy as np

ARM_MASS = 2.0  # kg, of bodies that in truth weigh nothing: their weight is cancelled


def text(numbers):
    """Numbers as the engine's model file has them, to the last digit."""
    return " ".join(repr(float(x)) for x in np.ravel(numbers))


def lifting_axis(front, rear, outer):
    """The pivots' direction about which a right-handed turn lifts the outer point."""
    axis = front - rear
    return axis if np.cross(axis, outer - rear)[2] > 0.0 else -axis


@dataclass
class Parts:
    """What a corner adds to the model file, in the chassis' own axes."""

    bodies: list = field(default_factory=list)
    loops: list = field(default_factory=list)
    tendons: list = field(default_factory=list)
    sites: list = field(default_factory=list)  # of the chassis


def weightless(at):
    """Inertia of a body whose weight is cancelled, about a point near its middle."""
    return (
        f'<inertial pos="{text(at)}" mass="{ARM_MASS}" diaginertia="0.05 0.05 0.05"/>'
    )


def hinged(name, front, rear, outer, inside, *, rate=0.0, slack=0.0, damping=0.0):
    """An arm on two pivots; its joint's spring is the bar."""
    axis = lifting_axis(front, rear, outer)
    return (
        f'<body name="{name}" gravcomp="1">'
        f'<joint name="{name}" type="hinge" pos="{text(rear)}" axis="{text(axis)}" '
        f'stiffness="{float(rate)!r}" springref="{float(slack)!r}" '
        f'damping="{float(damping)!r}"/>'
        f"{weightless(outer)}{inside}</body>"
    )


def upright(name, p, ball, unsprung, sites=""):
    """An upright on a ball joint, its own weight at the wheel centre."""
    s = np.asarray(p.spindle) / np.linalg.norm(p.spindle)
    return (
        f'<body name="{name} upright">'
        f'<joint type="ball" pos="{text(ball)}" damping="0.5"/>'
        f'<inertial pos="{text(p.wheel_centre)}" mass="{float(unsprung)!r}" '
        'diaginertia="0.8 0.8 0.8"/>'
        f'<site name="{name} wheel" pos="{text(p.wheel_centre)}" zaxis="{text(s)}"/>'
        f"{sites}"
    )


def track_rod(parts, name, p):
    """A rod on a ball joint at its inner end, its outer end held to the upright."""
    parts.bodies.append(
        f'<body name="{name} rod" gravcomp="1">'
        f'<joint type="ball" pos="{text(p.rod_inner)}" damping="0.5"/>'
        f"{weightless(0.5 * (p.rod_inner + p.rod_outer))}</body>"
    )
    parts.loops.append(
        f'<connect body1="{name} upright" body2="{name} rod" '
        f'anchor="{text(p.rod_outer)}"/>'
    )


def damper(parts, name, p, rate):
    """A spring between the damper's bolts, at rest in the length that is drawn."""
    length = float(np.linalg.norm(p.damper_body - p.damper_arm))
    parts.sites.append(f'<site name="{name} top" pos="{text(p.damper_body)}"/>')
    parts.tendons.append(
        f'<spatial name="{name} damper" stiffness="{float(rate)!r}" '
        f'springlength="{length!r}"><site site="{name} top"/>'
        f'<site site="{name} bolt"/></spatial>'
    )
    return f'<site name="{name} bolt" pos="{text(p.damper_arm)}"/>'


def bushed(parts, name, bush):
    """A second spring on the arm's joint."""
    rate, rest = bush
    # The engine takes a length below 0 as not given.
    parts.tendons.append(
        f'<fixed name="{name} bush" stiffness="{float(rate)!r}" '
        f'springlength="{abs(float(rest))!r}">'
        f'<joint joint="{name} arm" coef="{1 if rest >= 0.0 else -1}"/></fixed>'
    )


def wishbones(name, p, *, spring, unsprung, bush=(0.0, 0.0), helper=0.0, damping=0.0):
    """A double wishbone; the bar and the damper are on the lower arm."""
    parts = Parts()
    bolt = damper(parts, name, p, helper)
    inner = upright(name, p, p.lower_ball, unsprung) + "</body>"
    parts.bodies.append(
        hinged(
            f"{name} arm",
            p.lower_front,
            p.lower_rear,
            p.lower_ball,
            bolt + inner,
            rate=spring[0],
            slack=spring[1],
            damping=damping,
        )
    )
    parts.bodies.append(
        hinged(f"{name} upper", p.upper_front, p.upper_rear, p.upper_ball, "")
    )
    parts.loops.append(
        f'<connect body1="{name} upright" body2="{name} upper" '
        f'anchor="{text(p.upper_ball)}"/>'
    )
    track_rod(parts, name, p)
    bushed(parts, name, bush)
    return parts


def strut(name, p, *, spring, unsprung, bush=(0.0, 0.0), helper=0.0, damping=0.0):
    """A sliding strut: its rod slides in the upright, its top is held to the body."""
    assert helper == 0.0, "a strut's own spring is not modelled"
    parts = Parts()
    bushed(parts, name, bush)
    along = p.strut_top - p.strut_low
    rod = (
        f'<body name="{name} piston" gravcomp="1">'
        f'<joint name="{name} slide" type="slide" axis="{text(along)}" damping="5"/>'
        f"{weightless(p.strut_top)}</body>"
    )
    parts.bodies.append(
        hinged(
            f"{name} arm",
            p.lower_front,
            p.lower_rear,
            p.lower_ball,
            upright(name, p, p.lower_ball, unsprung, rod) + "</body>",
            rate=spring[0],
            slack=spring[1],
            damping=damping,
        )
    )
    parts.loops.append(
        f'<connect body1="{name} piston" body2="chassis" anchor="{text(p.strut_top)}"/>'
    )
    track_rod(parts, name, p)
    return parts


def trailing(name, p, *, spring, unsprung, bush=(0.0, 0.0), helper=0.0, damping=0.0):
    """A trailing or semi-trailing arm that carries the wheel itself."""
    parts = Parts()
    bolt = damper(parts, name, p, helper)
    s = np.asarray(p.spindle) / np.linalg.norm(p.spindle)
    # The wheel is a body without a joint: it weighs, the arm does not.
    wheel = (
        f'<body name="{name} upright">'
        f'<inertial pos="{text(p.wheel_centre)}" mass="{float(unsprung)!r}" '
        'diaginertia="0.8 0.8 0.8"/>'
        f'<site name="{name} wheel" pos="{text(p.wheel_centre)}" zaxis="{text(s)}"/>'
        "</body>"
    )
    parts.bodies.append(
        hinged(
            f"{name} arm",
            p.pivot_outer,
            p.pivot_inner,
            p.wheel_centre,
            bolt + wheel,
            rate=spring[0],
            slack=spring[1],
            damping=damping,
        )
    )
    bushed(parts, name, bush)
    return parts


@dataclass
class Tyre:
    """A tyre: its wheel's name, its rate, its unloaded radius, the floor under it."""

    name: str
    rate: float
    radius: float
    floor: float = 0.0


def model(corners, *, chassis="", masses=(), step=1e-3, gravity=9.80665, held=""):
    """The engine's model of a chassis with corners; loops give way as the step does.

    `chassis` are the chassis' own joints, none for one that is held; `masses` are rows
    of (mass, place, inertia) that are fixed to it.
    """
    parts = [part for corner in corners for part in corner.bodies]
    sites = [site for corner in corners for site in corner.sites]
    loads = "".join(
        f'<body><inertial pos="{text(place)}" mass="{float(mass)!r}" '
        f'diaginertia="{text(inertia)}"/></body>'
        for mass, place, inertia in masses
    )
    inertia = "" if masses or not chassis else weightless([0.0, 0.0, 0.0])
    loops = [loop for corner in corners for loop in corner.loops]
    tendons = [tendon for corner in corners for tendon in corner.tendons]
    return mujoco.MjModel.from_xml_string(
        f"""
        <mujoco>
          <compiler angle="radian" inertiafromgeom="false" boundmass="0"/>
          <option timestep="{step!r}" gravity="0 0 {-gravity!r}" integrator="implicit"
                  solver="Newton" tolerance="1e-14" iterations="100">
            <flag contact="disable"/>
          </option>
          <default>
            <equality solref="{2.0 * step!r} 1" solimp="0.9999 0.9999 0.001 0.5 2"/>
          </default>
          <worldbody>
            <body name="chassis">{chassis}{inertia}
              {"".join(sites)}{loads}{"".join(parts)}
            </body>
          </worldbody>
          <equality>{"".join(loops)}{held}</equality>
          <tendon>{"".join(tendons)}</tendon>
        </mujoco>
        """
    )


class Settled:
    """A model that was let move until it rests."""

    def __init__(
        self, engine, tyres=(), pushes=(), *, seconds=30.0, still=1e-8, until=None
    ):
        """Let it settle; `pushes` are rows (wheel, radius, force) at lowest points.

        `until` ends it sooner: it is asked at every tenth step whether this will do.
        """
        self.engine, self.data = engine, mujoco.MjData(engine)
        self.tyres, self.pushes, self.steps = list(tyres), list(pushes), 0
        self.sites = {
            name: engine.site(f"{name} wheel").id
            for name in [t.name for t in self.tyres] + [p[0] for p in self.pushes]
        }
        most, quiet = int(seconds / engine.opt.timestep), 0
        while self.steps < most:
            self.load()
            mujoco.mj_step(engine, self.data)
            self.steps += 1
            if until is not None and self.steps % 10 == 0 and until(self):
                break
            if self.steps % 50 == 0:
                # What swings stands still for a moment, but not three times.
                quiet = quiet + 1 if np.max(np.abs(self.data.qvel)) < still else 0
                if quiet == 3:
                    break
        mujoco.mj_forward(engine, self.data)
        self.speed = float(np.max(np.abs(self.data.qvel)))

    def load(self):
        """Apply the tyres' forces and the pushes where they act now."""
        mujoco.mj_kinematics(self.engine, self.data)
        mujoco.mj_comPos(self.engine, self.data)
        self.data.qfrc_applied[:] = 0.0
        for tyre in self.tyres:
            self.push(tyre.name, tyre.radius, self.force(tyre))
        for name, radius, force in self.pushes:
            self.push(name, radius, force)

    def push(self, name, radius, force):
        """Apply a vertical force at the lowest point of a wheel."""
        site = self.sites[name]
        mujoco.mj_applyFT(
            self.engine,
            self.data,
            np.array([0.0, 0.0, force]),
            np.zeros(3),
            self.lowest(name, radius),
            self.engine.site_bodyid[site],
            self.data.qfrc_applied,
        )

    def wheel(self, name):
        """Centre and axis of a wheel, in the world."""
        site = self.engine.site(f"{name} wheel").id
        return (
            self.data.site_xpos[site].copy(),
            self.data.site_xmat[site].reshape(3, 3)[:, 2].copy(),
        )

    def lowest(self, name, radius):
        """Lowest point of a wheel's circle."""
        centre, s = self.wheel(name)
        up = np.array([0.0, 0.0, 1.0]) - s[2] * s
        return centre - radius * up / np.sqrt(1.0 - s[2] * s[2])

    def force(self, tyre):
        """Force between a tyre and the floor."""
        sunk = tyre.floor - self.lowest(tyre.name, tyre.radius)[2]
        return tyre.rate * max(sunk, 0.0)

    def angle(self, name):
        """Angle of the arm of a corner."""
        return float(self.data.joint(f"{name} arm").qpos[0])

    def height(self, point):
        """Height of a point of the chassis."""
        body = self.data.body("chassis")
        return float(body.xpos[2] + body.xmat.reshape(3, 3)[2] @ np.asarray(point))

    @property
    def gap(self):
        """How far the closed loops stand apart. [m]"""
        return float(np.max(np.abs(self.data.efc_pos), initial=0.0))


def whole_car(vehicle, hard, *, step=1e-3, damping=120.0):
    """The engine's model of a car on any of these layouts, and its tyres.

    Numbers of the car are read, nothing of it is asked: springs, masses and places.
    """
    corners, tyres = [], []
    for corner, p in zip(vehicle.corners, hard, strict=True):
        layout = wishbones
        if hasattr(p, "pivot_inner"):
            layout = trailing
        elif hasattr(p, "strut_top"):
            layout = strut
        helper = sum(other.law.rate for other in corner.others)
        spring, bush = corner.spring, corner.spring.bush
        corners.append(
            layout(
                corner.name,
                p,
                spring=(spring.rate, spring.slack),
                unsprung=corner.unsprung,
                bush=(bush.rate, bush.tightened_at),
                helper=helper,
                damping=damping,
            )
        )
        tyres.append(
            Tyre(
                corner.name,
                float(corner.tyre_rate),
                float(corner.tyre_radius),
                float(corner.floor),
            )
        )
    masses = [(vehicle.body.mass, vehicle.body.centre.array, [300.0, 1200.0, 1300.0])]
    masses += [(load.mass, load.at.array, [1.0] * 3) for load in vehicle.loads]
    # Nothing turns the car about the vertical, so nothing needs to stop it there.
    joints = (
        '<joint type="slide" axis="0 0 1"/>'
        '<joint type="hinge" axis="0 1 0" damping="500"/>'
        '<joint type="hinge" axis="1 0 0" damping="500"/>'
    )
    return model(corners, chassis=joints, masses=masses, step=step), tyres
