"""Elements of a page as nested lists: plain JSON for the page's script, escaped markup for a file.

Text in them is only ever text. Names of elements and attributes are ours, never a scenario's.
"""

import base64
import html
from collections.abc import Iterable, Mapping
from typing import Any

# [name, attributes, children]; a child is one more or a text.
Node = list[Any]
# Elements that have no end.
EMPTY = ("input", "img", "br")


def node(name: str, *children: Any, **attributes: Any) -> Node:
    """An element: its name, what stands in it, its attributes.

    Parameters
    ----------
    name
        Of the element.
    children
        Elements and texts; None is left out, lists of several are taken apart.
    attributes
        ``class_`` and ``for_`` lose their line, ``data_text`` becomes ``data-text``; None is left
        out, and numbers are written with a tenth of a pixel.

    Examples
    --------
    >>> node("p", "2 < 3", class_="sure", data_text=None)
    ['p', {'class': 'sure'}, ['2 < 3']]
    """
    named = {
        name.rstrip("_").replace("_", "-"): _written(value)
        for name, value in attributes.items()
        if value is not None
    }
    return [name, named, [*_flat(children)]]


def markup(tree: Any) -> str:
    """An element as HTML or SVG, every text in it escaped.

    Examples
    --------
    >>> markup(node("p", "2 < 3", class_="sure"))
    '<p class="sure">2 &lt; 3</p>'
    """
    if not isinstance(tree, list):
        return html.escape(str(tree))
    name, attributes, children = tree
    told = "".join(f' {key}="{html.escape(value)}"' for key, value in attributes.items())
    if name in EMPTY:
        return f"<{name}{told}>"
    return f"<{name}{told}>{''.join(map(markup, children))}</{name}>"


def data_address(drawing: Node) -> str:
    """A drawing as the address of a picture that carries itself."""
    _, attributes, children = drawing
    whole = ["svg", {"xmlns": "http://www.w3.org/2000/svg", **attributes}, children]
    coded = base64.b64encode(markup(whole).encode()).decode("ascii")
    return f"data:image/svg+xml;base64,{coded}"


def filled(tree: Any, parts: Mapping[str, Iterable[Any]]) -> Any:
    """The element with what belongs into each place that is named by its ``data-part``.

    Parameters
    ----------
    tree
        Any element.
    parts
        Children by name of the place; a place without stays as it is.
    """
    if not isinstance(tree, list):
        return tree
    name, attributes, children = tree
    given = parts.get(attributes.get("data-part", ""))
    inner = children if given is None else given
    return [name, attributes, [filled(child, parts) for child in inner]]


def _flat(children: Iterable[Any]) -> Iterable[Any]:
    for child in children:
        # An element begins with its name; a list of several begins with one of them.
        if isinstance(child, list | tuple) and not (child and isinstance(child[0], str)):
            yield from _flat(child)
        elif child is not None:
            yield child


def _written(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:.1f}".removesuffix(".0")
    return str(value)
