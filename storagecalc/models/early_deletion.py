"""Early deletion: what has to go before its keep rule says so, because footage exceeds a limit.

The oldest goes first, whatever kind of work it comes from.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from storagecalc.models.checks import FloatArray, checked, checked_row
from storagecalc.models.footage import held_tb, recorded_before_today_tb_by_age, stored_today_tb
from storagecalc.models.units import WHOLE_TOLERANCE


def deleted_early_tb_by_month(
    *,
    intake_tb_by_month: Sequence[Any],
    keep_fraction_by_age: Sequence[Any],
    stored_tb: Sequence[Any],
    oldest_months: Sequence[Any],
    limit_tb_by_month: Any,
) -> FloatArray:
    """TB that have to be deleted early in each month, the oldest first, to stay within a limit.

    At the end of each month, once its intake is in and the keep rules have thinned what is older,
    whatever exceeds the limit is deleted: oldest recording month first, all kinds of work of one
    month in proportion, the last month that is touched only in part. What was deleted early stays
    gone, so the keep rules have less to thin later and nothing comes back when the limit rises.

    Formula: with ``there[c]`` the TB of recording month c that are left, ``kept[c] = there[c]``,
    but at most the limit less all of ``there`` recorded after c, and at least 0. Deleted is the
    sum of ``there - kept``, and of that month only ``kept / there`` counts from then on.

    Parameters
    ----------
    intake_tb_by_month
        For each kind of work TB recorded in months 0, 1, ..., 0 or more, months last: (months,) or
        (positions, draws, months).
    keep_fraction_by_age
        For each kind of work the share still held at ages 0, 1, ..., 0 to 1, never rising, ages
        last; at least ``months + oldest_months`` ages.
    stored_tb
        For each kind of work TB stored today, 0 or more: a float or an array (positions, draws, 1).
    oldest_months
        For each kind of work the age in months of the oldest of it, above 0; shapes as above. The
        assumptions are those of ``stored_today_tb``.
    limit_tb_by_month
        TB that this footage may take at the end of each month, 0 or more: a float or an array with
        one entry, or one a month, on its last axis. More by a billionth is not over the limit.

    Returns
    -------
    numpy array
        TB deleted early in each month, a flow, 0 or more: (months,) or (positions, draws, months).

    Raises
    ------
    ValueError
        Where the sequences differ in length or are empty, the months do not fit together, a curve
        is too short or rises, or a value is outside its range.

    Notes
    -----
    Oldest first: common practice, no source. It stops being valid where some footage may not be
    deleted (a contract, a claim, the only copy of something wanted) or someone chooses by worth,
    and it does not see peaks within a month. It says how much the limit forces out; whether that
    may go, and whether another copy exists, has to be settled before anything is deleted.

    Examples
    --------
    1 TB a month kept for three months, 2 TB of room: from the third month on, 1 TB goes early.

    >>> deleted_early_tb_by_month(
    ...     intake_tb_by_month=[[1.0, 1.0, 1.0, 1.0]],
    ...     keep_fraction_by_age=[[1.0, 1.0, 1.0, 0.0, 0.0]],
    ...     stored_tb=[0.0], oldest_months=[1], limit_tb_by_month=2.0,
    ... ).tolist()
    [0.0, 0.0, 1.0, 1.0]
    """
    works = _works(
        intake_tb_by_month=intake_tb_by_month,
        keep_fraction_by_age=keep_fraction_by_age,
        stored_tb=stored_tb,
        oldest_months=oldest_months,
    )
    held = _held_by_keep_rules(works)
    limit = _limit("limit_tb_by_month", limit_tb_by_month, months=held.shape[-1])
    over = _exceeds(held, limit)
    deleted = np.zeros(over.shape)
    # Most futures never meet the limit; the others are followed month by month.
    ever = np.asarray(over.any(axis=-1))
    if ever.any():
        limit = np.broadcast_to(limit, over.shape)[ever]
        deleted[ever] = _deleted_in_turn(*_recorded_and_keep(works, ever, held.shape[-1]), limit)
    return deleted


def _works(**by_name: Sequence[Any]) -> list[dict[str, Any]]:
    """The arguments of each kind of work, by name."""
    count = len(by_name["intake_tb_by_month"])
    for name, entries in by_name.items():
        if len(entries) != max(count, 1):
            raise ValueError(
                f"{name} must have one entry for each kind of work, as many as intake_tb_by_month "
                f"({count}) and at least one, got {len(entries)}"
            )
    works = [dict(zip(by_name, work, strict=True)) for work in zip(*by_name.values(), strict=True)]
    for work in works:
        name = "intake_tb_by_month"
        work[name] = checked_row(name, work[name], at_least=0)
        months, wanted = work[name].shape[-1], works[0][name].shape[-1]
        if months != wanted:
            raise ValueError(
                f"{name} must have as many months for each kind of work, got {wanted} and {months}"
            )
    return works


def _limit(name: str, value: Any, *, months: int) -> FloatArray:
    """The limit as an array that broadcasts along the months."""
    limit: FloatArray = np.asarray(checked(name, value, at_least=0))
    if limit.ndim and limit.shape[-1] not in (1, months):
        raise ValueError(
            f"{name} must have one entry or {months}, one a month, on its last axis, "
            f"got the shape {limit.shape}"
        )
    return limit


def _held_by_keep_rules(works: list[dict[str, Any]]) -> FloatArray:
    """TB held in each month if nothing is deleted early."""
    held: Any = 0.0
    for work in works:
        intake, keep = work["intake_tb_by_month"], work["keep_fraction_by_age"]
        stored = stored_today_tb(
            stored_tb=work["stored_tb"],
            oldest_months=work["oldest_months"],
            keep_fraction_by_age=keep,
            months=intake.shape[-1],
        )
        held = held + held_tb(
            intake_tb_by_month=intake, keep_fraction_by_age=keep, stored_today_tb_by_month=stored
        )
    return held


def _exceeds(held: FloatArray, limit: FloatArray) -> npt.NDArray[np.bool_]:
    """Whether what is held is over the limit by more than rounding."""
    over: npt.NDArray[np.bool_] = held > limit * (1 + WHOLE_TOLERANCE)
    return over


def _recorded_and_keep(
    works: list[dict[str, Any]], chosen: npt.NDArray[np.bool_], months: int
) -> tuple[list[FloatArray], list[FloatArray]]:
    """For each kind of work the chosen futures' TB by recording month, newest first, and curve."""
    past = [
        recorded_before_today_tb_by_age(
            **{name: work[name] for name in ("stored_tb", "oldest_months", "keep_fraction_by_age")}
        )
        for work in works
    ]
    columns = months + max(recorded.shape[-1] for recorded in past)
    recorded_by_work, keep_by_work = [], []
    for work, before in zip(works, past, strict=True):
        recorded = np.zeros((np.count_nonzero(chosen), columns))
        _fill(recorded, work["intake_tb_by_month"][..., ::-1], chosen)
        _fill(recorded[:, months:], before, chosen)
        keep = np.zeros_like(recorded)
        _fill(keep, np.asarray(work["keep_fraction_by_age"])[..., :columns], chosen)
        recorded_by_work.append(recorded)
        keep_by_work.append(keep)
    return recorded_by_work, keep_by_work


def _fill(rows: FloatArray, values: Any, chosen: npt.NDArray[np.bool_]) -> None:
    """Writes the values of the chosen futures to the start of the rows."""
    length = values.shape[-1]
    rows[:, :length] = np.broadcast_to(values, (*chosen.shape, length))[chosen]


def _deleted_in_turn(
    recorded_by_work: list[FloatArray], keep_by_work: list[FloatArray], limit: FloatArray
) -> FloatArray:
    """TB deleted early by future and month; recording months lie newest first."""
    months = limit.shape[-1]
    deleted = np.zeros(limit.shape)
    left = np.ones_like(recorded_by_work[0])
    for month in range(months):
        # From here on recording months have begun; the first of them is of age 0.
        newest = months - 1 - month
        there = np.zeros_like(left[:, newest:])
        for recorded, keep in zip(recorded_by_work, keep_by_work, strict=True):
            there += recorded[:, newest:] * keep[:, : there.shape[-1]]
        there *= left[:, newest:]
        over = np.flatnonzero(_exceeds(there.sum(axis=-1), limit[:, month]))
        there = there[over]
        newer = np.cumsum(there, axis=-1) - there
        kept = np.clip(limit[over, month, np.newaxis] - newer, 0.0, there)
        deleted[over, month] = (there - kept).sum(axis=-1)
        left[over, newest:] *= np.divide(kept, there, out=np.ones_like(there), where=there > 0)
    return deleted
