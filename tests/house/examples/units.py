"""Examples for ``models/units.py``."""

from house.examples import Example

EXAMPLES = {
    "tib_from_tb": Example(base={"tb": 8.0}, other={"tb": 9.0}, vectors=["tb"]),
    "mb_s_from_mbit_s": Example(base={"mbit_s": 80.0}, other={"mbit_s": 90.0}, vectors=["mbit_s"]),
}
