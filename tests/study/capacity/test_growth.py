"""Which steps are ordered when: the build's own, then those of further boxes."""

import numpy as np
import pytest

from storagecalc import evaluate
from storagecalc.study.capacity.space import pools_of
from storagecalc.study.decision.records import records


def test_drives_are_ordered_when_the_footage_passes_the_space(small):
    """30 TB hold three months; then one drive a month until eight are in: 70 TB for seven."""
    build = evaluate(small).builds[0]
    assert build.capacity.ladder.usable_tb == 30.0
    assert build.capacity.full_ladder.usable_tb == 70.0
    assert build.capacity.first_fill_months.point == 3
    assert build.capacity.headroom_months.point == 7
    drives = [(row.month, row.count) for row in build.money.purchases if row.what == "drives"]
    assert drives == [(0, 4), (3, 1), (4, 1), (5, 1), (6, 1)]
    np.testing.assert_allclose(
        build.capacity.plannable_tb_by_month, [30, 30, 30, 40, 50, 60] + [70] * 18, rtol=1e-12
    )


def test_a_shelf_is_a_pool_of_its_own(demo):
    build = demo.builds["twelve_and_shelf"]
    pools = pools_of(build)
    assert pools.drives_by_step.tolist() == [
        [6, 8, 10, 12, 12, 12, 12, 12, 12],
        [0, 0, 0, 0, 4, 6, 8, 10, 12],
    ]
    ladder = evaluate(demo).builds[2].capacity.full_ladder
    assert ladder.usable_tb == pytest.approx((10 + 10) * 16)


def test_hot_spares_take_bays_but_give_no_space(small):
    spare = small.varied({"builds.box.hot_spares": 1})
    record = records(evaluate(spare))[0]
    assert record["nominal_tb"] == 40
    assert record["usable_tb"] == 20
    assert record["rebuild_h"] < records(evaluate(small))[0]["rebuild_h"]
