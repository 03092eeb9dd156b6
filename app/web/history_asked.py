"""What the history's address asks for: kind, person, days, import, page."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta

from starlette.requests import Request

from app.records.change_queries import ChangeSearch
from app.web.forms.reader import FormReader
from app.web.list_pages import read_page

NAMES = ("noun", "by", "since", "until", "record", "batch", "page")
LONGEST = 200
_LAST_YEAR = 9999


@dataclass(frozen=True)
class HistoryAsked:
    """What the address asks for, as far as it could be read."""

    form: FormReader
    search: ChangeSearch
    page: int

    @property
    def status(self) -> int:
        """422 where something could not be read."""
        return 422 if self.form.problems else 200

    @property
    def words(self) -> Mapping[str, str]:
        """The parts of the address by name."""
        return self.form.raw

    @property
    def filtered(self) -> bool:
        """Whether anything narrows the history."""
        return any(name in self.form.raw for name in NAMES[:-1])


@dataclass(frozen=True)
class Fixed:
    """What the page itself settles: the history of one record has its kind and its id."""

    noun: str = ""
    record: str = ""
    names: tuple[str, ...] = field(default=NAMES)


def read_history_asked(request: Request, fixed: Fixed = Fixed()) -> HistoryAsked:  # frozen
    """Read the address; what it does not know is refused and not passed over."""
    form = FormReader({key: text for key, text in request.query_params.items() if text.strip()})
    for name in form.raw:
        if name not in fixed.names:
            form.say("", f"The history has no “{name[:40]}”: take it out of the address.")
    since, until = _day(form, "since"), _day(form, "until")
    search = ChangeSearch(
        noun=fixed.noun or form.text("noun", longest=LONGEST) or "",
        record=fixed.record or form.text("record", longest=LONGEST) or "",
        by=form.text("by", longest=LONGEST) or "",
        since=since,
        before=None if until is None else until + timedelta(days=1),
        batch=form.text("batch", longest=LONGEST) or "",
    )
    return HistoryAsked(form, search, read_page(form))


def _day(form: FormReader, name: str) -> datetime | None:
    text = form.text(name, longest=LONGEST)
    if text is None:
        return None
    try:
        day = date.fromisoformat(text)
        if day.year >= _LAST_YEAR:
            raise ValueError
        return datetime(day.year, day.month, day.day, tzinfo=UTC)
    except ValueError:
        form.say(name, "Write a day as year-month-day, like 2026-11-25.")
        return None
