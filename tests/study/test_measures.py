"""The one list of measures: every need has its measure, and all lead to a figure."""

import numpy as np

from storagecalc import evaluate
from storagecalc.study.axes import Spread
from storagecalc.study.measures import MEASURES, NEEDS
from storagecalc.study.scenario.needs import Needs


def test_every_need_of_a_file_has_its_measure_and_the_other_way_round():
    assert set(Needs.model_fields) - {"confidence_fraction"} == set(NEEDS)


def test_no_measure_stands_twice():
    keys = [each.key for each in MEASURES]
    assert len(set(keys)) == len(keys)


def test_every_measure_leads_to_a_figure_of_each_alternative(small):
    for build in evaluate(small, draws=5).builds:
        for measure in MEASURES:
            value = measure.of(build)
            assert np.ndim(value.point if isinstance(value, Spread) else value) == 0


def test_every_need_is_judged_on_each_future_or_on_one_figure_for_all(small):
    build = evaluate(small, draws=5).builds[0]
    for measure in NEEDS.values():
        assert np.shape(measure.judged(build)) in ((), (5,))
        assert measure.better in ("more", "less")
        assert measure.missed


def test_what_a_need_is_judged_on_is_what_its_measure_tells(demo):
    """The spread beside it has the percentiles of the very figures that the need is judged on."""
    build = evaluate(demo, draws=60).builds[0]
    for measure in NEEDS.values():
        told, judged = measure.of(build), measure.judged(build)
        if isinstance(told, Spread):
            lowest, highest = np.min(judged), np.max(judged)
            assert lowest <= told.p10 <= told.p50 <= told.p90 <= highest
            assert np.mean(judged <= told.p50) >= 0.5
            assert np.isinf(highest) or lowest <= told.mean <= highest + 1e-9
