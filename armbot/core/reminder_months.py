"""Sums with calendar months, for plans that are told in months."""

from __future__ import annotations

from calendar import monthrange
from datetime import date

_MONTHS = 12


def plus_months(day: date, months: int) -> date:
    """The same day so many months later; the month's last day where there is no such day."""
    number = day.year * _MONTHS + day.month - 1 + months
    year, month = divmod(number, _MONTHS)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def month_end(day: date) -> date:
    """The last day of the month of ``day``."""
    return day.replace(day=monthrange(day.year, day.month)[1])


def whole_months(first: date, last: date) -> int:
    """How many whole calendar months lie between two days, both included."""
    start = first if first.day == 1 else plus_months(first.replace(day=1), 1)
    end = last if last == month_end(last) else last.replace(day=1)
    months = (end.year - start.year) * _MONTHS + end.month - start.month
    return max(months + (1 if last == month_end(last) else 0), 0)
