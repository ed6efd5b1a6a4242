"""What a live page knows from one move of a slider to the next."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from storagecalc.study.decision.verdict import verdict
from storagecalc.study.evaluate import Evaluation, evaluate
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.study.scenario.sliders import Slider, are_close, moved
from storagecalc.views.page.decision_panel import USUAL_PX, panel_answer, settled_answer
from storagecalc.views.page.first_page import fitting_frames, page_frames
from storagecalc.views.page.panel import WrongValueError
from storagecalc.views.text.page import out_of_reach, readouts, true_value

DRAWS_WHILE_MOVING = 100


class Live:
    """What a panel knows from one move to the next: its last verdict, and axes that stand still."""

    def __init__(
        self,
        scenario: Scenario,
        found: Sequence[Slider],
        first: Evaluation,
        tables: Sequence[str],
        draws: int,
    ) -> None:
        self._scenario, self._found, self._tables, self._draws = scenario, found, tables, draws
        self._settled, self._at = first, {each.key: each.start for each in found}
        self._frames = page_frames([first])

    def answer(self, shown: dict[str, float], settled: bool, width_px: float) -> Mapping[str, Any]:
        """What the page paints for values as they are shown."""
        values = checked_values(self._found, shown, self._scenario)
        width_px = width_px or USUAL_PX
        told_values = readouts(self._scenario, self._found, values)
        if not settled:
            count = min(DRAWS_WHILE_MOVING, self._draws)
            # A best plan follows when the slider is let go.
            plans = self._settled.plans
            few = evaluate(moved(self._scenario, values), draws=count, plans=plans)
            now = replace(few, advised=verdict(self._settled).recommended.build.key)
            self._frames = fitting_frames(now, self._frames)
            return {**panel_answer(now, width_px, self._frames), "readouts": told_values}
        if not are_close(values, self._at):
            self._settled = evaluate(moved(self._scenario, values), draws=self._draws)
            self._at = values
        self._frames = fitting_frames(self._settled, self._frames)
        told = settled_answer(self._settled, width_px, self._frames, self._tables)
        return {**told, "readouts": told_values}


def checked_values(
    found: Sequence[Slider], shown: Mapping[str, float], scenario: Scenario
) -> dict[str, float]:
    """The values that are meant by what sliders show.

    Raises
    ------
    WrongValueError
        Where a value is not plausible.
    """
    values = {each.key: true_value(each.quantity, shown[each.key]) for each in found}
    faults = {
        each.key: out_of_reach(each, values[each.key], scenario)
        for each in found
        if not each.quantity.lowest <= values[each.key] <= each.quantity.highest
    }
    if faults:
        raise WrongValueError(faults)
    return values
