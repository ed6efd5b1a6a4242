"""The page as text: its script, its style, and the answers it paints, ready to leave Python.

The panel sends one answer at a time; the report carries a whole grid of them. Both pass through
``sendable`` first, so no name from a scenario can arrive as markup inside a chart.
"""

import json
import math
import re
from collections.abc import Callable, Mapping, Sequence
from importlib import import_module, resources
from typing import Any

from storagecalc.views.page.layout import plain_page, table_node
from storagecalc.views.page.nodes import filled, markup

LONGEST_CHART_TEXT = 300
"""Characters of one string inside a chart; what is longer is an accident, or meant to harm."""

# By these a page, and a chart of the chart library in it, are known in a document.
PAGE_MARK, CHART_MARK = "data-storagecalc-page", 'class="sc-plot"'

_MARKUP_BUT_LINE_BREAKS = re.compile(r"<(?!/?(?:br|b|i|extra) ?/?>)", re.IGNORECASE)


def plotly_source() -> str:
    """The installed chart library as script text that defines ``Plotly`` where it stands.

    The library looks for a module system first; it is given one of its own, so that neither a
    notebook's loader nor a page's global names decide where it ends up.

    Returns
    -------
    str
        JavaScript, about 5 MB.
    """
    library = import_module("plotly.offline").get_plotlyjs()
    return (
        "const chartModule = {exports: {}};(function (module, exports, define) {"
        f"{library}\n}})(chartModule, chartModule.exports, undefined);"
        "const Plotly = chartModule.exports;\n"
    )


def page_style() -> str:
    """The style sheet of the page, the same in panel and report."""
    return _own_file("page.css")


def page_module(*, charts: bool) -> str:
    """The page as the ES module of a notebook widget with the traits spec, question and answered.

    Parameters
    ----------
    charts
        Whether it has a chart of the chart library, which is large.

    Returns
    -------
    str
        JavaScript with one default export whose ``render`` draws the page into a cell's output.
    """
    render = """
export default {
  render({ model, el }) {
    const ask = (question) => {
      model.set("question", question);
      model.save_changes();
    };
    const onAnswer = (paint) => {
      const hear = () => paint(JSON.parse(model.get("answered")));
      model.on("change:answered", hear);
      hear();
      return () => model.off("change:answered", hear);
    };
    return mount({ el, Plotly, spec: model.get("spec"), ask, onAnswer });
  },
};
"""
    return _library(charts) + _page_source() + render


def page_script(*, charts: bool) -> str:
    """The script a report needs once: it draws every ``page_fragment`` of the document.

    Parameters
    ----------
    charts
        Whether any of them has a chart of the chart library, which is large.

    Returns
    -------
    str
        Classic JavaScript for the end of the body. It asks nothing of any network.
    """
    page = _page_source() + _own_script("grid.js")
    return f"(() => {{\n{_library(charts)}{page}\nmountGrids(Plotly);\n}})();"


def page_fragment(
    spec: Mapping[str, Any], grid: Mapping[str, Any], first: Mapping[str, list[Any]]
) -> str:
    """A place in a document where ``page_script`` draws a page, with all it needs to know.

    Parameters
    ----------
    spec
        What the page consists of. A control keeps to its axis: least, greatest and step are the
        grid's. A control without an axis is left out.
    grid
        The answers it can give, as ``grid.grid_of`` packs them.
    first
        What stands in each part before any script runs, and where none may.

    Returns
    -------
    str
        HTML: one element around one data island, harmless until the script runs.
    """
    laid = with_layout(_spec_on_grid(plain(spec), grid))
    still = markup(filled(laid["page"], first))
    island = json_island({"spec": laid, "grid": grid})
    data = f'<script type="application/json">{island}</script>'
    return f"<div {PAGE_MARK}>{still}{data}</div>"


def with_layout(spec: Mapping[str, Any]) -> dict[str, Any]:
    """The page with its elements; a plain page's where it brings none of its own."""
    return {**spec, "page": spec.get("page") or plain_page(spec)}


def json_island(value: Any) -> str:
    """JSON that may stand inside a script element: nothing in it can close or open one.

    Examples
    --------
    >>> json_island({"name": "</script><!-- A & B"})
    '{"name":"\\\\u003c/script\\\\u003e\\\\u003c!-- A \\\\u0026 B"}'
    """
    text = json.dumps(value, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text


def sendable(answer: Mapping[str, Any]) -> dict[str, Any]:
    """The answer in plain JSON values: arrays as lists, no NaN, no markup inside charts.

    Parameters
    ----------
    answer
        What the page is to paint: ``texts``, ``tables`` and ``drawings`` by the part they belong
        into, ``figures`` of the chart library, ``readouts``; arrays may be numpy's. Strings that
        the chart library draws keep line breaks, bold and italic; every other tag in them becomes
        visible text, and they are cut where no chart has room for them. Heading and summary of a
        figure stay whole.

    Returns
    -------
    dict
        The same with a gap (None) where a number is not finite.

    Examples
    --------
    >>> sendable({"texts": {"headline": "2 < 3"}, "figures": {"a": {"data": [{"name": "<a>"}]}}})
    {'parts': {'headline': ['2 < 3']}, 'figures': {'a': {'data': [{'name': '&lt;a>'}]}}}
    """
    inner = {"texts", "tables", "drawings", "figures"}
    sent = {name: plain(part) for name, part in answer.items() if name not in inner}
    parts = {
        **{name: [str(text)] for name, text in answer.get("texts", {}).items()},
        **{name: [table_node(plain(each))] for name, each in answer.get("tables", {}).items()},
        **{name: list(trees) for name, trees in answer.get("drawings", {}).items()},
    }
    if parts:
        sent["parts"] = parts
    if "figures" in answer:
        sent["figures"] = {name: _figure(each) for name, each in answer["figures"].items()}
    return sent


def _figure(figure: Mapping[str, Any]) -> dict[str, Any]:
    return {
        name: plain(part, str if name in ("title", "summary") else _chart_text)
        for name, part in figure.items()
    }


def plain(value: Any, text: Callable[[str], str] = str) -> Any:
    """The value as JSON knows it: arrays and tuples as lists, None where a number is not finite.

    Parameters
    ----------
    value
        Any nesting of mappings, lists, tuples, numpy arrays, numbers, strings, None.
    text
        What becomes of each string; left as it is where nothing is given.

    Examples
    --------
    >>> plain({"y": (1.5, float("nan"))})
    {'y': [1.5, None]}
    """
    if isinstance(value, str):
        return text(value)
    if hasattr(value, "tolist"):  # a numpy array or number
        value = value.tolist()
    if isinstance(value, list | tuple):
        if _all_finite(value):
            return list(value)
        return [plain(part, text) for part in value]
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, Mapping):
        return {str(name): plain(part, text) for name, part in value.items()}
    return value


def _spec_on_grid(spec: dict[str, Any], grid: Mapping[str, Any]) -> dict[str, Any]:
    axis_of = {axis["key"]: axis["values"] for axis in grid["axes"]}
    controls = []
    for control in spec.get("controls", []):
        values = axis_of.get(control["key"])
        if values:
            nearest = min(values, key=lambda value: abs(value - control["value"]))
            ends = {"min": values[0], "max": values[-1], "places": values}
            controls.append({**control, **ends, "value": nearest})
    return {**spec, "controls": controls}


def _own_file(name: str) -> str:
    return resources.files("storagecalc.views.page").joinpath(name).read_text(encoding="utf-8")


def _library(charts: bool) -> str:
    return plotly_source() if charts else "const Plotly = null;\n"


def _page_source() -> str:
    return _own_script("elements.js") + _own_script("page.js")


def _own_script(name: str) -> str:
    """One of our scripts, to stand beside the others."""
    return re.sub(r"^export ", "", _own_file(name), flags=re.MULTILINE)


def _chart_text(text: str) -> str:
    if len(text) > LONGEST_CHART_TEXT:
        text = text[: LONGEST_CHART_TEXT - 1] + "…"
    return _MARKUP_BUT_LINE_BREAKS.sub("&lt;", text)


def _all_finite(values: Sequence[Any]) -> bool:
    """Whether all are plain finite numbers, as one sum can tell; a series has thousands."""
    try:
        total = sum(values)
    except TypeError:
        return False
    return type(total) in (int, float) and math.isfinite(total)
