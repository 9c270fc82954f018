"""Makes contact_collision_table.json, what contact_collision.rs is checked against.

Source: the contact itself, integrated in time by SciPy's solve_ivp (DOP853), in
place of impulses. The two are pressed together by a spring that is stiffer while
they part, so that they give back the share e^2 of the work (Walton and Braun, J.
Rheology 30, 949, 1986; from memory); sliding friction acts while the ball slides
and ends when it rolls. Bat and ball are turned into place by SciPy's rotations.
Run it in a venv with numpy and scipy, in this folder:

    python contact_collision_table.py > contact_collision_table.json
"""

import json
import math

import numpy as np
import scipy
from scipy.integrate import solve_ivp
from scipy.spatial.transform import Rotation

MPH, INCH, OUNCE = 0.44704, 0.0254, 0.028349523125
MASS = 5.125 * OUNCE
RADIUS = 9.125 * INCH / (2 * math.pi)
INERTIA = 0.4 * MASS * RADIUS**2


def contact(ball, spin, bat, bat_mass, e, mu, normal):
    """Velocities and spin after the contact, by integration."""
    stiff = 5e6
    parts = stiff / e**2

    def slip(y):
        v, w, b = y[0:3], y[3:6], y[6:9]
        relative = v + np.cross(w, -RADIUS * normal) - b
        return relative - normal * (relative @ normal)

    def rate(_, y, factor, rest, slides):
        # y[9]: how far they are pressed together; y[10]: the impulse so far.
        force = max(factor * (y[9] - rest), 0.0)
        across = np.zeros(3)
        if slides:
            s = slip(y)
            across = -mu * force * s / np.linalg.norm(s)
        push = force * normal + across
        return np.concatenate(
            [
                push / MASS,
                np.cross(-RADIUS * normal, across) / INERTIA,
                -push / bat_mass,
                [-(y[0:3] - y[6:9]) @ normal],
                [force],
            ]
        )

    def run(y, factor, rest, slides, ends):
        """To where the pressing ends, passing from sliding to rolling."""
        ends.terminal = True
        start = slip(y)
        size = np.linalg.norm(start)

        def stops(_, y, *more):
            return slip(y) @ start / size - 1e-9 * size if slides else 1.0

        stops.terminal = True
        done = solve_ivp(
            rate, (0, 1), y, "DOP853", args=(factor, rest, slides),
            rtol=1e-11, atol=1e-13, events=[ends, stops], max_step=2e-5,
        )
        y = done.y[:, -1]
        if done.t_events[0].size:
            return y, slides
        return run(y, factor, rest, False, ends)

    def deepest(_, y, *more):
        return (y[0:3] - y[6:9]) @ normal

    y = np.concatenate([ball, spin, bat, [0.0, 0.0]])
    slides = np.linalg.norm(slip(y)) > 1e-9
    y, slides = run(y, stiff, 0.0, slides, deepest)
    # Unloading along the stiffer line ends where the spring is still pressed.
    rest = y[9] * (1 - stiff / parts)
    pressed = y[9]

    def apart(_, y, *more):
        return y[9] - rest - 1e-9 * pressed

    y, slides = run(y, parts, rest, slides, apart)
    return y[0:3], y[3:6], y[6:9], slides


def hit(swing, toss, bodies):
    """Direction, launch, speed, spin: by rotations about the upright and the bat."""
    turn = Rotation.from_euler("z", -(swing["face_deg"] - 1.9 * swing["depth_in"]), degrees=True)
    # The bat points to the opposite side (+x), its end hanging: turned about y.
    hang = Rotation.from_euler("y", swing["tilt_deg"], degrees=True)
    axis = turn.apply(hang.apply([1.0, 0.0, 0.0]))
    way = turn.apply(Rotation.from_euler("x", swing["attack_deg"], degrees=True).apply([0.0, 1.0, 0.0]))
    across = way - axis * (way @ axis)
    across /= np.linalg.norm(across)
    angle = math.asin(swing["offset_in"] * INCH / (bodies["barrel_radius_m"] + RADIUS))
    # Turned about the bat so that "ahead" goes up.
    normal = Rotation.from_rotvec(angle * axis).apply(across)
    come = Rotation.from_euler("z", -toss["from_deg"], degrees=True).apply(
        Rotation.from_euler("x", toss["down_deg"], degrees=True).apply([0.0, 1.0, 0.0])
    )
    ball, _, _, slides = contact(
        -toss["speed_mph"] * MPH * come,
        np.zeros(3),
        swing["bat_speed_mph"] * MPH * way,
        bodies["bat_mass_kg"],
        bodies["restitution"],
        bodies["friction"],
        normal,
    )
    return dict(
        toward_opposite_deg=math.degrees(math.atan2(ball[0], ball[1])),
        launch_deg=math.degrees(math.atan2(ball[2], math.hypot(ball[0], ball[1]))),
        speed_mph=float(np.linalg.norm(ball)) / MPH,
        slides=bool(slides),
    )


random = np.random.default_rng(20250211)
USUAL = dict(bat_mass_kg=0.6, barrel_radius_m=1.25 * INCH, restitution=0.5, friction=0.5)
rows = []
for number in range(40):
    swing = dict(
        bat_speed_mph=random.uniform(35, 80),
        face_deg=random.uniform(-35, 35),
        attack_deg=random.uniform(-20, 30),
        tilt_deg=random.uniform(0, 45),
        depth_in=random.uniform(-4, 4),
        offset_in=random.uniform(-1.8, 1.8),
    )
    toss = dict(
        from_deg=random.uniform(-60, 60),
        down_deg=random.uniform(-10, 20),
        speed_mph=random.uniform(5, 60),
    )
    bodies = dict(USUAL)
    if number % 2:
        bodies.update(
            bat_mass_kg=random.uniform(0.3, 0.9),
            restitution=random.uniform(0.3, 0.9),
            friction=random.uniform(0.02, 0.6),
        )
    swing, toss, bodies = ({k: round(float(v), 6) for k, v in part.items()} for part in (swing, toss, bodies))
    rows.append(dict(swing=swing, toss=toss, bodies=bodies, batted=hit(swing, toss, bodies)))

made_by = f"contact_collision_table.py with SciPy {scipy.__version__}, NumPy {np.__version__}"
print(json.dumps({"made_by": made_by, "rows": rows}, indent=1))
