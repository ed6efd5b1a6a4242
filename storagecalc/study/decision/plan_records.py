"""Best plans and the purchase calendar as plain records, for JSON: no NaN, no infinity."""

import math
from dataclasses import asdict
from typing import Any

from storagecalc.study.dates import month_date
from storagecalc.study.decision.first_order import all_agree, first_orders
from storagecalc.study.decision.foresight import foresights
from storagecalc.study.decision.order_reasons import OrderReason, order_reasons
from storagecalc.study.decision.planned_orders import planned_orders
from storagecalc.study.decision.purchase_calendar import CalendarOrder, purchase_calendar
from storagecalc.study.decision.tuned_rule import tuned_rules
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult
from storagecalc.study.scenario.scenario import Scenario


def plan_records(evaluation: Evaluation) -> list[dict[str, Any]]:
    """One record for each alternative that follows a plan, in file order.

    Parameters
    ----------
    evaluation
        Without a grid.
    """
    return [
        _plan_record(evaluation, build)
        for build in evaluation.builds
        if build.key in evaluation.plans
    ]


def _plan_record(evaluation: Evaluation, build: BuildResult) -> dict[str, Any]:
    plan, scenario = evaluation.plans[build.key], evaluation.scenario
    firsts, rule = first_orders(evaluation)[build.key], tuned_rules(evaluation).get(build.key)
    return {
        "name": build.name,
        "lack_price": plan.lack_price,
        "line_fraction": plan.line_fraction,
        "under_fraction": plan.under_fraction,
        "line_tb_by_month": list(plan.line_tb_by_month),
        "orders": [
            {
                "month": each.month,
                "date": _date(scenario, each.month),
                "things": [asdict(thing) for thing in each.things],
                "cost_mean": each.cost,
            }
            for each in planned_orders(evaluation, build)
        ],
        "lines": [_line(each) for each in order_reasons(evaluation)[build.key]],
        "foresight": asdict(foresights(evaluation)[build.key]),
        "rule": None if rule is None else asdict(rule),
        "first_order_stays": all_agree(firsts),
        "first_orders": [
            {
                "horizon_months": each.horizon_months,
                "lines": [asdict(line) for line in each.lines],
            }
            for each in firsts
        ],
    }


def _line(found: OrderReason) -> dict[str, Any]:
    return {
        **asdict(found.line),
        "why": found.reason,
        "needed_months": found.needed_months if math.isfinite(found.needed_months) else None,
    }


def calendar_records(evaluation: Evaluation) -> list[dict[str, Any]]:
    """What every alternative orders by month, in file order.

    Parameters
    ----------
    evaluation
        Without a grid.
    """
    scenario = evaluation.scenario
    return [
        {
            "name": lane.build.name,
            "recommended": lane.is_recommended,
            "orders": [_order(scenario, each) for each in lane.orders],
        }
        for lane in purchase_calendar(evaluation).lanes
    ]


def _order(scenario: Scenario, order: CalendarOrder) -> dict[str, Any]:
    return {
        "month": order.month,
        "date": _date(scenario, order.month),
        "month_p10": order.month_p10,
        "month_p90": order.month_p90,
        "placed_fraction": order.placed_fraction,
        "things": [asdict(thing) for thing in order.things],
        "cost_mean": order.cost,
    }


def _date(scenario: Scenario, months: int) -> str:
    return month_date(scenario.start_date, months).isoformat()
