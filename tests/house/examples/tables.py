"""Examples for ``models/tables.py``."""

from house.examples import Example

EXAMPLES = {
    "table": Example(
        base={"name": "recording_formats"}, other={"name": "card_classes"}, no_number=["name"]
    ),
}
