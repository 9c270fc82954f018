"""Prints the density of moist air by the PyPI package `CoolProp` (equations of
ASHRAE RP-1485), as JSON.

    python3 coolprop_moist_air.py > coolprop_moist_air.json

The test `air` compares; it runs this script when the package is there.
"""

import json

from CoolProp.HumidAirProp import HAPropsSI


def main():
    lines = []
    for celsius in range(-10, 46, 5):
        for percent in [0, 30, 60, 90]:
            for pressure in [70000, 85000, 101325]:
                volume = HAPropsSI(
                    "Vha", "T", 273.15 + celsius, "P", pressure, "R", percent / 100
                )
                lines.append(json.dumps({
                    "temperature_c": celsius,
                    "humidity_percent": percent,
                    "pressure_pa": pressure,
                    "density_kg_m3": 1 / volume,
                }))  # fmt: skip
    print("[\n" + ",\n".join(lines) + "\n]")


if __name__ == "__main__":
    main()
