"""Flies random pitches with SciPy's DOP853 and prints the table as JSON.

    python3 scipy_flight.py > scipy_flight.json

Written from the equations of design.md and apart from the Rust code: time is
the independent variable here and the plane is found by an event. The pitches
are drawn by Python's own generator from a fixed seed, so the same table comes
out again. The test `flight` compares; it runs this script when SciPy is there.
"""

import json
import math
import random

from scipy.integrate import solve_ivp

GRAVITY = 9.80665
MPH = 0.44704
FOOT = 0.3048
RPM = math.pi / 30
BALLS = {
    "baseball": (5.125 * 0.028349523125, 9.125 * 0.0254),
    "softball 12": (6.625 * 0.028349523125, 12.0 * 0.0254),
    "softball 11": (6.0 * 0.028349523125, 11.0 * 0.0254),
}


def lift_coefficient(law, s):
    if law == "none":
        return 0.0
    return 1.5 * s if s < 0.1 else 0.09 + 0.6 * s


def fly(case):
    mass, circumference = case["ball"]["mass_kg"], case["ball"]["circumference_m"]
    radius = circumference / (2 * math.pi)
    k = 0.5 * case["air_density_kg_m3"] * math.pi * radius**2 / mass
    wx, wy, wz = case["spin_rad_s"]
    spin = math.sqrt(wx * wx + wy * wy + wz * wz)

    def change(_t, state):
        vx, vy, vz = state[3:]
        v = math.sqrt(vx * vx + vy * vy + vz * vz)
        d = k * case["drag_coefficient"] * v
        l = k * lift_coefficient(case["lift"], radius * spin / v) * v / spin if spin else 0.0
        return [
            vx, vy, vz,
            -d * vx + l * (wy * vz - wz * vy),
            -d * vy + l * (wz * vx - wx * vz),
            -d * vz + l * (wx * vy - wy * vx) - GRAVITY,
        ]  # fmt: skip

    def at_plane(_t, state):
        return state[1] - case["plane_y_m"]

    at_plane.terminal = True
    # The short steps keep the event's interpolation as exact as the rest.
    solution = solve_ivp(
        change, (0.0, 5.0), [*case["release_m"], *case["velocity_m_s"]],
        method="DOP853", rtol=1e-10, atol=1e-12, max_step=0.01, events=at_plane,
    )  # fmt: skip
    assert solution.status == 1, case["id"]
    end = [float(part) for part in solution.y_events[0][0]]
    end[1] = case["plane_y_m"]
    return {
        "time_s": float(solution.t_events[0][0]),
        "position_m": end[:3],
        "velocity_m_s": end[3:],
    }


def air_density(altitude):
    """Dry standard air; only an input here, air.rs checks the formula."""
    return 1.225 * (1 - 2.25577e-5 * altitude) ** 4.25588


def any_axis(rng):
    while True:
        axis = [rng.uniform(-1, 1) for _ in range(3)]
        length = math.sqrt(sum(part * part for part in axis))
        if 0.1 < length < 1:
            return [part / length for part in axis]


def pitch(rng, number):
    """One of four kinds in turn: baseball, softball, a pitch whose spin
    parameter passes the bend of the lift law on its way, and a slow toss."""
    kind = ["baseball", "softball", "bend", "toss"][number % 4]
    name = {
        "baseball": "baseball",
        "softball": rng.choice(["softball 12", "softball 11"]),
    }.get(kind) or rng.choice(list(BALLS))
    mass, circumference = BALLS[name]
    if kind == "toss":
        speed, distance, up = rng.uniform(20, 35), rng.uniform(10, 20), rng.uniform(0, 30)
    else:
        speed, distance, up = rng.uniform(45, 105), rng.uniform(28, 56), rng.uniform(-5, 4)
    speed *= MPH
    elevation, side = math.radians(up), math.radians(rng.uniform(-4, 4))
    rate = rng.uniform(0, 3200) * RPM
    if kind == "bend":
        rate = rng.uniform(0.092, 0.0995) * speed * 2 * math.pi / circumference
    return {
        "id": f"{number:03} {kind} {name}",
        "ball": {"mass_kg": mass, "circumference_m": circumference},
        "air_density_kg_m3": air_density(rng.uniform(0, 2000)),
        "drag_coefficient": rng.uniform(0.28, 0.5),
        "lift": "none" if number % 20 == 0 else "shs",
        "release_m": [
            rng.uniform(-3, 3) * FOOT,
            distance * FOOT,
            rng.uniform(1.5, 7) * FOOT,
        ],
        "velocity_m_s": [
            speed * math.cos(elevation) * math.sin(side),
            -speed * math.cos(elevation) * math.cos(side),
            speed * math.sin(elevation),
        ],
        "spin_rad_s": [part * rate for part in any_axis(rng)],
        "plane_y_m": rng.choice([0.0, 0.0, 17 / 12 * FOOT]),
    }


def main():
    rng = random.Random(853)
    lines = []
    for number in range(200):
        case = pitch(rng, number)
        case["dop853"] = fly(case)
        lines.append(json.dumps(case))
    print("[\n" + ",\n".join(lines) + "\n]")


if __name__ == "__main__":
    main()
