"""Prints density and pressure of the standard atmosphere by the PyPI package
`ambiance` (ISO 2533), as JSON.

    python3 ambiance_air.py > ambiance_air.json

The test `air` compares; it runs this script when the package is there.
"""

import json

from ambiance import Atmosphere


def main():
    lines = [
        json.dumps({
            "altitude_m": altitude,
            "density_kg_m3": float(Atmosphere(altitude).density[0]),
            "pressure_pa": float(Atmosphere(altitude).pressure[0]),
        })
        for altitude in range(-500, 5001, 250)
    ]  # fmt: skip
    print("[\n" + ",\n".join(lines) + "\n]")


if __name__ == "__main__":
    main()
