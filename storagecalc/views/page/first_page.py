"""The owner's page: what we would buy, why, what it costs, when to order again, what may go wrong.

The same elements stand in the report, where its script moves them, and on paper.
"""

from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from typing import Any

from storagecalc.study.decision.break_even import BreakEven
from storagecalc.study.decision.planned_orders import told_plan
from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation
from storagecalc.views.charts.break_even import bar
from storagecalc.views.charts.difference import gap_dots, gap_fits, gap_frame, years_bars
from storagecalc.views.charts.lanes import fits, lanes, lanes_frame
from storagecalc.views.page.layout import (
    buttons,
    number_field,
    place,
    slider_track,
    table_node,
)
from storagecalc.views.page.nodes import Node, node
from storagecalc.views.text.answers import four_answers
from storagecalc.views.text.break_even import (
    BARS,
    SLIDE,
    change_sentence,
    change_title,
    unchanged_sentence,
    unsettled_sentence,
)
from storagecalc.views.text.decision import reason, recommendation
from storagecalc.views.text.difference import gap_title, years_key, years_title
from storagecalc.views.text.first_page import AGREED, DATE, GO_WRONG, small_lines
from storagecalc.views.text.lanes import lanes_key, lanes_title
from storagecalc.views.text.needs import close_table, close_title
from storagecalc.views.text.page import amount, label_of, shown_unit
from storagecalc.views.text.plan import plan_table, sureness_sentences
from storagecalc.views.text.worries import worries

# A phone, paper or tablet, and a screen; the style sheet shows the one there is room for.
WIDTHS_PX = (358, 680, 1132)
HALF_WIDTHS_PX = (358, 548)


def owners_layout(spec: Mapping[str, Any], found: Sequence[BreakEven]) -> Node:
    """The elements of the page, empty but for the bars of what would change the decision.

    Parameters
    ----------
    spec
        ``words`` and ``controls`` as a page has them.
    found
        What would change the decision, in the order in which it is told.
    """
    return node(
        "div",
        _first_screen(),
        _change(spec, found),
        node("section", place("plan", "div"), class_="sc-slot"),
        node("div", _money(), _calls(), class_="sc-two"),
        node("section", place("causes", "div"), class_="sc-slot"),
        class_="sc-page sc-owner",
    )


def page_frames(evaluations: Sequence[Evaluation]) -> dict[str, Any]:
    """Axes of the pictures by name, wide enough for all of the evaluations."""
    return {"lanes": lanes_frame(evaluations), "gap": gap_frame(evaluations)}


def fitting_frames(evaluation: Evaluation, frames: Mapping[str, Any]) -> dict[str, Any]:
    """The same axes, each made anew only where the evaluation does not fit it."""
    anew = page_frames([evaluation])
    stay = {
        "lanes": fits(evaluation, frames["lanes"]),
        "gap": gap_fits(evaluation, frames["gap"]),
    }
    return {name: frames[name] if stay[name] else anew[name] for name in anew}


def owners_answer(evaluation: Evaluation, frames: Mapping[str, Any]) -> dict[str, Any]:
    """What stands in the parts of the page.

    Parameters
    ----------
    evaluation
        With draws and without a grid.
    frames
        Axes of the pictures by name, which stand still while a slider moves.
    """
    small, basis = small_lines(evaluation)
    told = {
        f"{name} {part}": getattr(each, part)
        for name, each in four_answers(evaluation).items()
        for part in ("label", "value", "note")
    }
    texts = {
        "small": small,
        "basis": basis,
        "recommendation": recommendation(evaluation),
        "reason": reason(evaluation),
        **told,
        "lanes title": lanes_title(evaluation),
        "lanes key": lanes_key(evaluation),
        "years title": years_title(evaluation),
        "years key": years_key(evaluation),
        "gap title": gap_title(evaluation),
        "close title": close_title(evaluation),
    }
    drawings = {
        "lanes": [_wide(lanes(evaluation, width, frames["lanes"]), width) for width in WIDTHS_PX],
        **_differences(evaluation, frames),
        "worries": [node("li", sentence) for sentence in worries(evaluation)],
    }
    return {"texts": texts, "drawings": drawings, "tables": {"close": close_table(evaluation)}}


def _differences(evaluation: Evaluation, frames: Mapping[str, Any]) -> dict[str, list[Node]]:
    """Money by year and the twenty dots, for each width; nothing where there is no other."""
    rivals = verdict(evaluation).nearest_others(1)
    if not rivals:
        return {"years": [], "gap": []}
    bars = {width: years_bars(evaluation, width) for width in HALF_WIDTHS_PX}
    return {
        "years": [_wide(drawn, width) for width, drawn in bars.items() if drawn is not None],
        "gap": [
            _wide(gap_dots(evaluation, width, frames["gap"], rivals=rivals), width)
            for width in HALF_WIDTHS_PX
        ],
    }


def change_parts(evaluation: Evaluation, found: Sequence[BreakEven], sliding: Sequence[str]) -> Any:
    """What stands where the decision would change: texts and bars by the part they belong into."""
    today = verdict(evaluation)
    texts = {
        "change title": change_title(found),
        "change key": BARS,
        "unchanged": unchanged_sentence(_rest(found, sliding), evaluation),
        "unsettled": unsettled_sentence(found),
        "slide": SLIDE if sliding else "",
        **{f"change {each.key}": change_sentence(each, evaluation) for each in found},
        **_static_words(evaluation, [each for each in found if each.key not in sliding]),
    }
    bars = {
        f"track {each.key}": bar(each, today, slides=each.key in sliding)
        for each in found
        if each.key in sliding or each.crossings
    }
    return texts, bars


def plan_part(evaluation: Evaluation) -> dict[str, list[Node]]:
    """What stands in the slot of the best plan, by its part; nothing where nobody follows one."""
    if told_plan(evaluation) is None:
        return {}
    table = plan_table(evaluation)
    return {
        "plan": [
            node("h2", table.title),
            table_node(asdict(replace(table, title=""))),
            *(node("p", sentence) for sentence in sureness_sentences(evaluation)),
        ]
    }


def _static_words(evaluation: Evaluation, found: Sequence[BreakEven]) -> dict[str, str]:
    """Name, unit and today's value of what has a bar but no slider."""
    scenario, words = evaluation.scenario, {}
    for each in found:
        words[f"label {each.key}"] = label_of(each.key, each.quantity, scenario)
        words[f"unit {each.key}"] = shown_unit(each.quantity, scenario)
        words[f"today {each.key}"] = amount(each.quantity, each.today, scenario)
    return words


def _first_screen() -> Node:
    answers = [
        node(
            "div",
            *(place(f"{name} {part}", class_=f"sc-{part}") for part in ("label", "value", "note")),
        )
        for name in ("pay now", "over", "next order", "main risk")
    ]
    return node(
        "section",
        node("p", place("small", "span"), place("basis", "span"), class_="sc-small"),
        place("what if", class_="sc-whatif"),
        node("div", place("recommendation", "h1"), place("reason", class_="sc-reason"),
             aria_live="polite"),
        node("div", answers, class_="sc-answers"),
        place("lanes title", "h2"),
        place("lanes key", class_="sc-key"),
        place("lanes", "div", class_="sc-drawing"),
        node("p", node("span", AGREED), node("i"), node("span", DATE), node("i"), class_="sc-sign"),
        class_="sc-first",
    )  # fmt: skip


def _change(spec: Mapping[str, Any], found: Sequence[BreakEven]) -> Node:
    controls = {each["key"]: each for each in spec["controls"]}
    shown = [each for each in found if each.key in controls or each.crossings]
    return node(
        "section",
        place("change title", "h2"),
        place("change key", class_="sc-key"),
        [_row(each, controls.get(each.key)) for each in shown],
        place("unchanged", class_="sc-idle"),
        place("unsettled", class_="sc-idle"),
        node("div", place("slide"), buttons(spec["words"]), class_="sc-live") if controls else None,
        class_="sc-change",
        aria_label=spec["words"]["settings"],
    )


def _row(each: BreakEven, control: Mapping[str, Any] | None) -> Node:
    """One quantity: its name and unit, its bar or slider, today's value, what changes where."""
    name = f"sc-{each.key}"
    says = place(f"change {each.key}", class_="sc-says", id=f"{name}-help")
    if control is None:
        label = [place(f"label {each.key}", "b"), " ", place(f"unit {each.key}", "i")]
        marks = node("div", place(f"track {each.key}", "div", class_="sc-marks"), class_="sc-track")
        return node("div", node("p", label), marks, place(f"today {each.key}", class_="sc-value"),
                    says, class_="sc-row")  # fmt: skip
    words = node("label", node("b", control["label"]), " ", node("i", control["unit"]),
                 for_=name, id=f"{name}-label")  # fmt: skip
    return node(
        "div",
        words,
        slider_track(control, labelled=name, described=f"{name}-help"),
        node("div", number_field(control), node("p", role="alert", class_="sc-fault")),
        says,
        class_="sc-row",
        data_control=each.key,
    )


def _money() -> Node:
    parts = [
        node(
            "div",
            place(f"{name} title", "h2"),
            place("years key", class_="sc-key") if name == "years" else None,
            place(name, "div", class_="sc-drawing"),
        )
        for name in ("years", "gap")
    ]
    return node("section", parts, class_="sc-money")


def _calls() -> Node:
    return node(
        "section",
        place("close title", "h2"),
        node("div", data_part="close", class_="sc-table", tabindex=0, role="group",
             aria_label="close calls"),
        node("h2", GO_WRONG),
        place("worries", "ul"),
    )  # fmt: skip


def _rest(found: Sequence[BreakEven], sliding: Sequence[str]) -> list[BreakEven]:
    return [each for each in found if each.key not in sliding]


def _wide(drawing: Node, width_px: int) -> Node:
    """A drawing that is shown only where there is as much room as it was made for."""
    name, attributes, children = drawing
    return [name, {**attributes, "class": f"sc-w{width_px}"}, children]
