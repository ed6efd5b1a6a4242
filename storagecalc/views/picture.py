"""A drawing as the last line of a notebook cell, with its title, its key and its words."""

from collections.abc import Callable, Sequence

from storagecalc.views.page.nodes import Node, data_address, markup, node
from storagecalc.views.page.passage import Passage

# The drawing for a phone, for paper or a notebook, and for a wide screen; the first two are shown
# up to so many px of the window.
WIDTHS_PX = (358, 742, 1132)
UP_TO_PX = (720, 1500)


class Picture(Passage):
    """Finished sentences and a drawing below them, at the width that there is room for.

    It needs no script, no style sheet and no kernel: where the window's width cannot be asked for,
    the drawing for a notebook is shown.

    Parameters
    ----------
    title
        What the drawing shows, as a finding.
    paragraphs
        What its marks mean.
    drawn
        The drawing, for a width in px.
    told
        The drawing in words, for those who cannot see it, and for plain text.
    """

    def __init__(
        self, *, title: str, paragraphs: Sequence[str], drawn: Callable[[float], Node], told: str
    ) -> None:
        super().__init__(title=title, paragraphs=paragraphs)
        self.told = told
        self.drawings = [drawn(width) for width in WIDTHS_PX]

    def _repr_html_(self) -> str:
        small, usual, wide = map(data_address, self.drawings)
        below, most = (f"screen and (max-width: {limit}px)" for limit in UP_TO_PX)
        shown = node(
            "picture",
            node("source", media=below, srcset=small),
            # Paper is never wide, whatever the window was.
            node("source", media=f"{most}, print", srcset=usual),
            node("source", media="screen", srcset=wide),
            node("img", src=usual, alt=self.told, style="max-width: 100%"),
        )
        return super()._repr_html_() + markup(shown)

    def __repr__(self) -> str:
        """The same in plain text, the drawing in words."""
        return "\n".join([super().__repr__(), self.told])
