"""The live page of a notebook: one widget that asks the kernel and paints its answers."""

import json
from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any

import anywidget
import traitlets

from storagecalc.views.page.page import page_module, page_style, plain, sendable, with_layout

AnswerFor = Callable[[dict[str, float], bool, float], Mapping[str, Any]]
SaveValues = Callable[[dict[str, float]], str]


class WrongValueError(ValueError):
    """A value that was typed breaks a rule; ``faults`` says so for the field it stands in.

    Attributes
    ----------
    faults : dict
        Words by control key.
    """

    def __init__(self, faults: Mapping[str, str]) -> None:
        self.faults = dict(faults)
        super().__init__("\n".join(faults.values()))


class Panel(anywidget.AnyWidget):
    """Controls beside the figures and tables they change, in one cell of a notebook.

    The whole page is one widget, so an answer is one message and all charts move together. It
    carries the chart library with it where it has a chart of it: keep to one panel a notebook.

    Parameters
    ----------
    spec
        What the page consists of: words, groups, controls, figures, tables, texts.
    answer_for
        Called with the controls' values by key, whether they have settled (False while a slider is
        moving: few draws will do), and the width of the page in px. Returns texts, readouts,
        drawings, figures and tables. A ``ValueError`` it raises is shown in the page's status line,
        a ``WrongValueError`` beside the fields it names as well.
    save_values
        Called with the values when someone presses the save button; returns the sentence that
        says what was saved where. The button shows where the spec has a word for it.
    still
        Markup that stands in for the page where it cannot live: in a notebook that was not run, and
        in what is made of one.
    """

    _esm = traitlets.Unicode().tag(sync=True)
    _css = traitlets.Unicode().tag(sync=True)
    spec = traitlets.Dict().tag(sync=True)
    question = traitlets.Dict().tag(sync=True)
    # JSON as one string: neither side then walks through thousands of numbers to compare them.
    answered = traitlets.Unicode().tag(sync=True)

    def __init__(
        self,
        *,
        spec: Mapping[str, Any],
        answer_for: AnswerFor,
        save_values: SaveValues | None = None,
        still: str = "",
    ) -> None:
        self._answer_for = answer_for
        self._save_values = save_values
        self._still = still
        start = {control["key"]: control["value"] for control in spec.get("controls", ())}
        first = self.answer({"id": 0, "values": start, "settled": True})
        super().__init__(
            _esm=page_module(charts=bool(spec.get("figures"))),
            _css=page_style(),
            spec=with_layout(plain(spec)),
            answered=_text(first),
        )
        self.observe(self._on_question, names="question")

    def answer(self, question: Mapping[str, Any]) -> dict[str, Any]:
        """What the page paints for a question; needs no browser and no kernel.

        Parameters
        ----------
        question
            ``id``, ``values`` by control key, ``settled``, ``width`` of the page in px, and
            ``save`` where the values are to be saved instead.

        Returns
        -------
        dict
            Plain JSON values. ``asked`` is the question's id; ``error`` is None, or the message
            of the ``ValueError`` that refused the values, and then there is nothing to paint.
        """
        values = dict(question["values"])
        settled = bool(question.get("settled", True))
        told = {"asked": question["id"], "error": None, "values": values, "moving": not settled}
        try:
            if question.get("save"):
                return {**told, "status": self._saved(values)}
            width_px = float(question.get("width") or 0.0)
            return {**sendable(self._answer_for(values, settled, width_px)), **told}
        except WrongValueError as refusal:
            return {"asked": question["id"], "error": str(refusal), "faults": refusal.faults}
        except ValueError as refusal:
            return {"asked": question["id"], "error": str(refusal)}

    def _saved(self, values: dict[str, float]) -> str:
        if self._save_values is None:
            raise ValueError("these settings cannot be saved from here")
        return self._save_values(values)

    def _on_question(self, change: Mapping[str, Any]) -> None:
        # A fault of ours must not leave the page waiting without a word; it is still raised, so
        # that the notebook's log has the whole story.
        question = change["new"]
        try:
            self.answered = _text(self.answer(question))
        except Exception as fault:
            self.answered = _text({"asked": question.get("id", 0), "error": f"{fault!r:.500}"})
            raise

    def _ipython_display_(self) -> None:
        display: Any = import_module("IPython.display").display
        if self._still:
            display({"text/html": self._still, "text/plain": repr(self)}, raw=True)
        live, told = self._repr_mimebundle_() or ({}, {})
        display(live, metadata=told, raw=True)

    def __repr__(self) -> str:
        """Short and always the same, so that a stored notebook does not change by itself."""
        return "Panel(live page: run this cell to see it)"


def _text(answer: Mapping[str, Any]) -> str:
    return json.dumps(answer, separators=(",", ":"), allow_nan=False)
