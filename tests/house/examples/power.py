"""Examples for ``models/power.py``."""

from house.examples import Example

EXAMPLES = {
    "continuous_circuit_w": Example(
        base={"breaker_a": 16.0, "voltage_v": 230.0},
        other={"breaker_a": 20.0, "voltage_v": 120.0},
        vectors=["breaker_a", "voltage_v"],
    ),
    "energy_kwh_per_month": Example(
        base={"power_w": 120.0}, other={"power_w": 150.0}, vectors=["power_w"]
    ),
}
