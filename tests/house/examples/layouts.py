"""Examples for ``models/layouts.py``."""

from house.examples import Example

from storagecalc.models.layouts import layout

EIGHT = layout(redundancy="double parity", drive_count=8, hot_spares=1)
PAIRS = layout(redundancy="striped mirrors", drive_count=8, hot_spares=0)
LOSSES = {"formatting_fraction": 0.02, "snapshot_fraction": 0.05, "free_fraction": 0.15}
OTHER_LOSSES = {"formatting_fraction": 0.03, "snapshot_fraction": 0.06, "free_fraction": 0.2}

EXAMPLES = {
    "layout": Example(
        base={"redundancy": "double parity", "drive_count": 8, "hot_spares": 1},
        other={"redundancy": "mirror", "drive_count": 9, "hot_spares": 2},
        no_number=["redundancy"],
    ),
    "usable_tb": Example(
        base={"layout": EIGHT, "drive_tb": 12.0},
        other={"layout": PAIRS, "drive_tb": 16.0},
        vectors=["drive_tb"],
        no_number=["layout"],
    ),
    "nominal_tb": Example(
        base={"layout": EIGHT, "drive_tb": 12.0},
        other={
            "layout": layout(redundancy="double parity", drive_count=9, hot_spares=1),
            "drive_tb": 16.0,
        },
        vectors=["drive_tb"],
        no_number=["layout"],
    ),
    "capacity_ladder": Example(
        base={"layout": EIGHT, "drive_tb": 12.0, **LOSSES},
        other={"layout": PAIRS, "drive_tb": 16.0, **OTHER_LOSSES},
        vectors=["drive_tb", *LOSSES],
        no_number=["layout"],
    ),
}
