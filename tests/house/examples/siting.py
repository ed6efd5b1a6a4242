"""Examples for ``models/siting.py``."""

from house.examples import Example

EXAMPLES = {
    # A sound below 0 dB(A) is one that nobody hears, not an error.
    "combined_dba": Example(
        base={"levels_dba": [42.0, 38.0]},
        other={"levels_dba": [42.0, 40.0]},
        vectors=["levels_dba"],
        may_be_negative=["levels_dba"],
    ),
    "dba_at_distance": Example(
        base={"level_dba": 42.0, "from_m": 1.0, "to_m": 3.0},
        other={"level_dba": 40.0, "from_m": 2.0, "to_m": 4.0},
        vectors=["level_dba", "from_m", "to_m"],
        may_be_negative=["level_dba"],
    ),
    "heat_btu_h": Example(base={"power_w": 120.0}, other={"power_w": 150.0}, vectors=["power_w"]),
    "airflow_m3_h": Example(
        base={"power_w": 120.0, "temperature_rise_k": 8.0},
        other={"power_w": 150.0, "temperature_rise_k": 5.0},
        vectors=["power_w", "temperature_rise_k"],
    ),
}
