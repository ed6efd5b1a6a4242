"""Looking into a drawing: its elements by name, the lanes in it, its words."""

from collections.abc import Iterator
from typing import Any


def elements(tree: Any, name: str) -> Iterator[Any]:
    """All elements of that name, in their order."""
    if not isinstance(tree, list):
        return
    if tree[0] == name:
        yield tree
    for child in tree[2]:
        yield from elements(child, name)


def places(tree: Any) -> list[tuple[float, float]]:
    """The middles of all dots."""
    return [(float(dot[1]["cx"]), float(dot[1]["cy"])) for dot in elements(tree, "circle")]


def lane(tree: Any, key: str) -> Any:
    """The group of one alternative."""
    return next(part for part in elements(tree, "g") if part[1].get("data-lane") == key)


def texts(tree: Any) -> list[str]:
    """All words that are drawn."""
    return [part[2][0] for part in elements(tree, "text")]
