"""Documents with a page in them, and ways to look at one that is open."""

from storagecalc.views.page.grid import grid_answer, grid_of
from storagecalc.views.page.page import page_fragment, page_script, page_style


def document(body: str, scripts: str) -> str:
    return (
        '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>Page</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        "<meta http-equiv='Content-Security-Policy' content=\"default-src 'none'; "
        "script-src 'unsafe-inline'; style-src 'unsafe-inline'; img-src data:\">"
        f"<style>body{{margin:0}}{page_style()}</style></head><body>{body}{scripts}</body></html>"
    )


def grid_document(spec, axes, answers) -> str:
    grid = grid_of(axes, answers)
    start = {each["key"]: each["value"] for each in spec["controls"]}
    fragment = page_fragment(spec, grid, grid_answer(grid, start)["parts"])
    return document(fragment, f"<script>{page_script(charts=True)}</script>")


def slider(page, key):
    return page.locator(f"[data-control={key}] input[type=range]")


def typed(page, key):
    return page.locator(f"[data-control={key}] input[inputmode]")


def readout(page, key):
    return page.locator(f"[data-readout={key}]").text_content()


def picture(page):
    """What the page shows: its words, its table cells, and the last point of each chart."""
    return page.evaluate(
        """() => [
          ...[...document.querySelectorAll("[data-part]:not(.sc-marks), td, figcaption")]
            .map((part) => part.textContent),
          ...[...document.querySelectorAll(".sc-plot")].map((plot) => plot.data[2].y.at(-1)),
        ]"""
    )
