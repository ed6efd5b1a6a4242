"""The best plan in words: what it orders when and why then, how sure it is, what the rule would do.

What is told of a plan stands here alone: on the page, in the notebook and on the terminal.
"""

import math
from collections.abc import Sequence
from dataclasses import replace

from storagecalc.study.capacity.purchase_plan import PlannedOrder
from storagecalc.study.dates import month_date
from storagecalc.study.decision.first_order import FirstOrder, all_agree, first_orders
from storagecalc.study.decision.foresight import foresights
from storagecalc.study.decision.order_reasons import OrderReason, order_reasons
from storagecalc.study.decision.planned_orders import (
    PlannedOrders,
    drive_size_tb,
    planned_orders,
    told_plan,
)
from storagecalc.study.decision.tuned_rule import RuleCost, TunedRule, tuned_rules
from storagecalc.study.evaluate import Evaluation
from storagecalc.study.result import BuildResult
from storagecalc.study.scenario.scenario import Scenario
from storagecalc.views.text.money import order_words
from storagecalc.views.text.numbers import (
    count,
    listed,
    money,
    month,
    of_hundred,
    percent,
    short,
    significant,
    tb,
    years_span,
)
from storagecalc.views.text.table import LEFT, RIGHT, TextTable, text_table

NO_PLAN = (
    'No build follows a best plan. Write plan = "best" into one, or into a copy of one under a'
    " name of its own, to have the cheapest list of orders beside the others."
)
PLAN_CHECKS = "How good the plan is"
LAST_ORDERS = (
    "Act on the first order; the last ones are small or late, because nothing is planned for what"
    " comes after them. Plan anew before each order."
)
NEEDS_APART = (
    "A plan looks for the least cost of space. Your needs are judged afterwards, as for every"
    " build: where it misses one, more drives at first or another build may meet it."
)
# Why an order stands in its month.
WHY = {
    "space": "space is needed then",
    "late": "space is short from {needed} on; holding that elsewhere until then costs less",
    "sale": "no longer sold later; space is needed in {needed}",
    "price": "dearer if ordered later; space is needed in {needed}",
    "work": "shares the work of one order; space is needed in {needed}",
    "worth": "saves more than it costs",
}


def plan_title(build: BuildResult, orders: Sequence[PlannedOrders], scenario: Scenario) -> str:
    """How many orders it places, and when."""
    if not orders:
        return f"Best plan of {short(build.name)}: no order"
    when = listed(_when(scenario, each.month) for each in orders)
    if len(orders) > 2:
        when = " to ".join(_when(scenario, orders[end].month) for end in (0, -1))
    several = "one order" if len(orders) == 1 else f"{count(len(orders))} orders"
    return f"Best plan of {short(build.name)}: {several}, {when}"


def _when(scenario: Scenario, months: float, *, inside: bool = False) -> str:
    """A month of the calendar; the first one is now."""
    if months <= 0:
        return "now"
    return f"{'in ' if inside else ''}{month(month_date(scenario.start_date, months))}"


def plan_tables(evaluation: Evaluation) -> list[TextTable]:
    """The plan of every alternative that follows one."""
    return [
        plan_table(evaluation, build)
        for build in evaluation.builds
        if build.key in evaluation.plans
    ]


def plan_table(evaluation: Evaluation, build: BuildResult | None = None) -> TextTable:
    """One row an order: when, what, at which price, and why then.

    Of the plan that is told where no alternative is named; without rows where there is none.
    """
    head = ("ordered", "what", "price then", "why then")
    build = build or told_plan(evaluation)
    if build is None:
        return text_table("", head, [])
    scenario, orders = evaluation.scenario, planned_orders(evaluation, build)
    reasons = order_reasons(evaluation)[build.key]
    rows = [
        (
            _when(scenario, each.month),
            _things(each),
            money(each.cost, scenario.currency),
            _why(scenario, [found for found in reasons if found.line.month == each.month]),
        )
        for each in orders
    ]
    table = text_table(plan_title(build, orders, scenario), head, rows)
    return replace(table, align=LEFT + LEFT + RIGHT + LEFT)


def _things(orders: PlannedOrders) -> str:
    return listed(order_words(each.what, each.count, each.size_tb) for each in orders.things)


def _why(scenario: Scenario, reasons: Sequence[OrderReason]) -> str:
    """The reasons of all parts of one order; which part, where they differ."""
    told = [_reason(scenario, each) for each in reasons]
    if len(set(told)) == 1:
        return told[0]
    parts = [listed(_line_words(scenario, each.line)) for each in reasons]
    return ". ".join(f"{part}: {why}" for part, why in zip(parts, told, strict=True))


def _reason(scenario: Scenario, found: OrderReason) -> str:
    needed = found.needed_months
    day = "" if math.isinf(needed) else month(month_date(scenario.start_date, needed))
    return WHY[found.reason].format(needed=day)


def _line_words(scenario: Scenario, line: PlannedOrder) -> list[str]:
    """What one line of a plan brings."""
    what = "larger drives" if line.swap else "drives"
    drives = order_words(what, line.count, drive_size_tb(scenario, line.drives))
    return [drives] if line.unit is None else [order_words(line.unit, 1), drives]


def plan_sentences(evaluation: Evaluation) -> list[str]:
    """What the plan is made for, how far from perfect it is, and what a rule would cost."""
    build = told_plan(evaluation)
    if build is None:
        return [NO_PLAN]
    return [
        line_sentence(evaluation, build),
        *dict.fromkeys((*sureness_sentences(evaluation), *rule_sentences(evaluation, build))),
        LAST_ORDERS,
        NEEDS_APART,
    ]


def sureness_sentences(evaluation: Evaluation) -> list[str]:
    """How far the plan is from perfect, and whether its first order holds; none without a plan."""
    build = told_plan(evaluation)
    if build is None:
        return []
    told = [foresight_sentence(evaluation, build), *horizon_sentences(evaluation, build)]
    rule = tuned_rules(evaluation).get(build.key)
    if rule is not None and rule.tuned.cost_mean < rule.plan_cost_mean:
        told += rule_sentences(evaluation, build)
    return told


def line_sentence(evaluation: Evaluation, build: BuildResult) -> str:
    """Which futures have room under the plan, and what becomes of the others."""
    plan = evaluation.plans[build.key]
    beyond = {
        "next box": "a fuller one is bridged until the last order stands, then gets a further box",
        "held elsewhere": "what a fuller one holds beyond it is held elsewhere",
    }[evaluation.scenario.remedy.kind]
    if plan.under_fraction >= 1:
        return f"It is planned for the most space that any future asks for; {beyond}."
    return (
        f"It is planned for space that {of_hundred(plan.line_fraction)} futures do not exceed in"
        f" any one month, so that {of_hundred(plan.under_fraction)} stay within it in all months;"
        f" {beyond}."
    )


def foresight_sentence(evaluation: Evaluation, build: BuildResult) -> str:
    """What it costs not to know which future will come."""
    found, currency = foresights(evaluation)[build.key], evaluation.scenario.currency
    told = (
        f"Not knowing which future will come costs about"
        f" {money(found.not_knowing_cost_mean, currency, 2)} on average"
    )
    if found.not_knowing_cost_mean < 1:
        return "Knowing every month beforehand would save nothing."
    ends = (
        f"{significant(found.not_knowing_cost_p10, 2)} to"
        f" {significant(found.not_knowing_cost_p90, 2)} in 8 of 10 of {found.futures} futures"
    )
    return f"{told} ({ends}); no other way of ordering can save more than that."


def rule_sentences(evaluation: Evaluation, build: BuildResult) -> list[str]:
    """What the studio's rule costs on the same box, and how it would cost least."""
    found = tuned_rules(evaluation).get(build.key)
    if found is None:
        return []
    currency, scenario = evaluation.scenario.currency, evaluation.scenario
    written, tuned = found.written, found.tuned
    size = drive_size_tb(scenario, scenario.builds[build.alternative.build_key].drives)
    told = (
        f"By a rule instead of a plan the same box, begun and grown with drives of"
        f" {tb(size or 0.0)}, costs {money(written.cost_mean, currency)} on average"
        f" {_rule_words(written, scenario, build)}"
    )
    planned = f"the plan costs {money(found.plan_cost_mean, currency)} in the same futures"
    if _is_same(written, tuned):
        return [f"{told}, and no other order point or step does better; {planned}."]
    return [
        f"{told}, and {money(tuned.cost_mean, currency)} {_rule_words(tuned, scenario, build)},"
        f" in futures that this was not tried on; {planned}.",
        *_advice(found),
    ]


def _is_same(one: RuleCost, other: RuleCost) -> bool:
    return (one.order_at_fraction, one.drives_per_step) == (
        other.order_at_fraction,
        other.drives_per_step,
    )


def _rule_words(rule: RuleCost, scenario: Scenario, build: BuildResult) -> str:
    """When a rule orders, and how many drives at a time."""
    point = f"ordering at {percent(rule.order_at_fraction)} full"
    if scenario.builds[build.alternative.build_key].grows_by == "swapping":
        return point
    drives = "one drive" if rule.drives_per_step == 1 else f"{count(rule.drives_per_step)} drives"
    return f"{point}, {drives} at a time"


def _advice(found: TunedRule) -> list[str]:
    """What to write for the rule that costs least, where that is less."""
    tuned, written = found.tuned, found.written
    if tuned.cost_mean >= written.cost_mean:
        return []
    keys = [f"order_at_fraction = {tuned.order_at_fraction:g}"]
    if tuned.drives_per_step != written.drives_per_step:
        kind = "groups" if tuned.drives_per_step > 1 else "one drive"
        keys += [f'grows_by = "{kind}"', f"drives_per_step = {tuned.drives_per_step}"]
    return [f"On costs alone, who keeps to a rule writes {listed(keys)}."]


def horizon_sentences(evaluation: Evaluation, build: BuildResult) -> list[str]:
    """Whether looking further ahead changes the first order."""
    own, *further = first_orders(evaluation)[build.key]
    if not own.lines and not any(each.lines for each in further):
        return []
    if not further:
        return []
    if all_agree([own, *further]):
        longest = years_span(further[-1].horizon_months)
        return [f"Looking as far as {longest} ahead leaves the first order as it is."]
    other = next(each for each in further if each.lines != own.lines)
    return [
        f"The first order hangs on how far one looks: {years_span(own.horizon_months)} ahead it is"
        f" {_first_words(evaluation, own)}, {years_span(other.horizon_months)} ahead"
        f" {_first_words(evaluation, other)}."
    ]


def _first_words(evaluation: Evaluation, first: FirstOrder) -> str:
    """What is ordered first, and when."""
    if not first.lines:
        return "nothing"
    scenario = evaluation.scenario
    told = [words for line in first.lines for words in _line_words(scenario, line)]
    return f"{listed(told)} {_when(scenario, first.lines[0].month, inside=True)}"
