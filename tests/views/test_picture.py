"""A drawing in a notebook cell: as wide as there is room for, with its words beside it."""

import base64
import re

from storagecalc.views.charts.drawing import drawing, text
from storagecalc.views.picture import WIDTHS_PX, Picture

HOSTILE = "<b>“two” & more</b>"


def picture() -> Picture:
    return Picture(
        title=f"a & b {HOSTILE}",
        paragraphs=["What the marks are."],
        drawn=lambda width: drawing(width, 90, "told", text(f"{width} px", 0, 12)),
        told=f"In words: {HOSTILE}",
    )


def widths_in(shown: str, attribute: str) -> list[str]:
    found = re.findall(rf'{attribute}="data:image/svg\+xml;base64,([^"]+)"', shown)
    drawn = [base64.b64decode(each).decode() for each in found]
    return [re.findall(r"(\d+) px", each)[0] for each in drawn]


def test_each_width_stands_where_there_is_room_for_it_and_the_middle_one_elsewhere():
    shown = picture()._repr_html_()
    assert widths_in(shown, "srcset") == [str(width) for width in WIDTHS_PX]
    assert widths_in(shown, "src") == ["742"]
    assert re.findall(r'media="([^"]+)"', shown) == [
        "screen and (max-width: 720px)", "screen and (max-width: 1500px), print", "screen",
    ]  # fmt: skip


def test_title_and_key_stand_above_it_and_all_of_it_is_only_text():
    shown = picture()._repr_html_()
    assert shown.index("a &amp; b") < shown.index("What the marks are.") < shown.index("<picture>")
    assert 'alt="In words: &lt;b&gt;' in shown
    assert "<b>" not in shown


def test_plain_text_tells_what_is_drawn():
    assert repr(picture()) == (f"a & b {HOSTILE}\nWhat the marks are.\nIn words: {HOSTILE}")
