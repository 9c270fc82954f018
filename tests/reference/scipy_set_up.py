"""Solves set-ups with SciPy and prints the table as JSON.

    python3 scipy_set_up.py > scipy_set_up.json

The flight is that of scipy_flight.py (DOP853). For a game pitch and a machine
at a distance with a given spin, the machine's height, side, speed and aim are
found by scipy.optimize.root so that its ball passes the same target at the same
time and angles. The test `search` compares; it runs this script when SciPy is
there.
"""

import json
import math

from scipy.optimize import root

from scipy_flight import BALLS, FOOT, MPH, RPM, fly

TOLERANCE = 1e-12


def case(ball, density, release, velocity, spin, plane):
    mass, circumference = BALLS[ball]
    return {
        "id": "",
        "ball": {"mass_kg": mass, "circumference_m": circumference},
        "air_density_kg_m3": density,
        "drag_coefficient": 0.35,
        "lift": "shs",
        "release_m": release,
        "velocity_m_s": velocity,
        "spin_rad_s": spin,
        "plane_y_m": plane,
    }


def velocity(speed_mph, up, turn):
    v = speed_mph * MPH
    return [
        v * math.cos(up) * math.sin(turn),
        -v * math.cos(up) * math.cos(turn),
        v * math.sin(up),
    ]


def spin_vector(backspin_rpm, sidespin_rpm):
    return [-backspin_rpm * RPM, 0.0, sidespin_rpm * RPM]


def angles(arrival):
    vx, vy, vz = arrival["velocity_m_s"]
    return math.atan2(-vz, -vy), math.atan2(vx, -vy)


def solved(equations, start):
    answer = root(equations, start, tol=TOLERANCE)
    left = max(abs(part) for part in equations(answer.x))
    assert left < 1e-7, (answer, left)
    return [float(part) for part in answer.x]


def set_up(question):
    ball, density = question["ball"], question["air_density_kg_m3"]
    plane = question["met_at_in"] / 12 * FOOT
    target = question["target_height_ft"] * FOOT
    x, y, z = [part * FOOT for part in question["release_ft"]]
    game_spin = spin_vector(*question["game_spin_rpm"])

    def game(aim):
        v = velocity(question["game_speed_mph"], *aim)
        return fly(case(ball, density, [x, y, z], v, game_spin, plane))

    def game_misses(aim):
        px, _, pz = game(aim)["position_m"]
        return [px, pz - target]

    pitch = game(solved(game_misses, [0.0, 0.0]))
    descent, side = angles(pitch)
    machine_spin = spin_vector(*question["machine_spin_rpm"])
    distance = question["distance_ft"] * FOOT

    def machine_misses(unknown):
        height, aside, speed, up, turn = unknown
        v = velocity(speed * 10, up, turn)
        arrival = fly(case(ball, density, [aside, distance, height], v, machine_spin, plane))
        px, _, pz = arrival["position_m"]
        own_descent, own_side = angles(arrival)
        return [
            px,
            pz - target,
            arrival["time_s"] - pitch["time_s"],
            own_descent - descent,
            own_side - side,
        ]

    share = question["distance_ft"] / question["release_ft"][1]
    start = [z * share, x * share, question["game_speed_mph"] * share / 10, 0.0, 0.0]
    height, aside, speed, _, _ = solved(machine_misses, start)
    return {"height_ft": height / FOOT, "side_ft": aside / FOOT, "speed_mph": speed * 10}


def questions():
    adult = {
        "ball": "baseball",
        "air_density_kg_m3": 1.2,
        "release_ft": [-1.25, 55.0, 6.0],
        "game_speed_mph": 92.0,
        "game_spin_rpm": [2200.0, 0.0],
        "target_height_ft": 2.5,
        "met_at_in": 0.0,
        "machine_spin_rpm": [1500.0, 0.0],
    }
    for distance in [30.0, 39.0, 45.0, 50.0]:
        yield adult | {"distance_ft": distance}
    breaking = {"game_speed_mph": 78.0, "game_spin_rpm": [-1400.0, 1100.0], "met_at_in": 20.0}
    for distance, spin in [(36.0, [-1400.0, 1100.0]), (44.0, [0.0, 600.0])]:
        yield adult | breaking | {"distance_ft": distance, "machine_spin_rpm": spin}
    mountain = {"air_density_kg_m3": 1.0, "release_ft": [1.6, 54.2, 5.7], "met_at_in": 17.0}
    for distance in [34.0, 47.0]:
        yield adult | mountain | {"distance_ft": distance}
    softball = {
        "ball": "softball 12",
        "release_ft": [-0.8, 37.0, 2.0],
        "game_speed_mph": 60.0,
        "game_spin_rpm": [-400.0, 300.0],
        "target_height_ft": 2.2,
        "machine_spin_rpm": [0.0, 0.0],
    }
    for distance in [25.0, 32.0]:
        yield adult | softball | {"distance_ft": distance}


def main():
    lines = [json.dumps(question | {"scipy": set_up(question)}) for question in questions()]
    print("[\n" + ",\n".join(lines) + "\n]")


if __name__ == "__main__":
    main()
