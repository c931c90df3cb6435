"""When a build must be inspected again: the earliest of several conditions, one of them a date."""

import datetime
from dataclasses import dataclass

from asfitted.description.results import Results
from asfitted.network.model import Network

#: house rule: three years, one where people live in a build or it is let (the IET's guidance for caravans
#: gives three, with a routine check every year)
YEARS, LIVED_IN_YEARS = 3, 1


@dataclass(frozen=True)
class NextInspection:
    """The date, and the years from the last sitting of tests (`tested`), else from the revision."""

    date: datetime.date
    years: int
    tested: bool


def next_inspection(network: Network, results: Results) -> NextInspection:
    """Return when the next inspection is due by date; accidents and changes make it due at once."""
    use = network.description.build.use
    years = YEARS if use == "work or public" else LIVED_IN_YEARS
    last = max((day for s in results.sessions if (day := _day(s.date))), default=None)
    start = last or _day(str(network.description.revision[1].date)) or datetime.date.min
    return NextInspection(_later(start, years), years, last is not None)


def _day(text: str) -> datetime.date | None:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        return None


def _later(day: datetime.date, years: int) -> datetime.date:
    try:
        return day.replace(year=day.year + years)
    except ValueError:  # the 29th of February
        return day.replace(year=day.year + years, day=28)
