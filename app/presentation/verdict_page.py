"""A kept verdict: the sheet as it was shown, and what differs from today."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol

from app.comparison.board_view import BoardView
from app.comparison.model import MODEL_VERSION
from app.comparison.verdict import RULE
from app.presentation.board_failed import Chip, chip_of, failed_words, stands_first
from app.presentation.change_words import Difference, differences
from app.presentation.comparison_page import limits_words
from app.presentation.history_page import when_words
from app.presentation.numbers import NOT_KNOWN, number_text, probability_text, quantity_text
from app.presentation.torques import fast_ratio, span_text, state_words

WAY_WORDS = {"csv": "exported as CSV", "print": "kept for print"}
MOST_TOLD = 50
"""Changed verdicts that the page tells one by one."""

VERDICT_WORDS = {"holds": "Holds", "tight": "Tight", "slips": "Slips", "unknown": "Not known"}


class Then(Protocol):
    """A record of a kept verdict: as it was, and as it is."""

    @property
    def kind(self) -> str:
        """Pack or engine."""

    @property
    def id(self) -> str:
        """Its id."""

    @property
    def name(self) -> str:
        """Its name then."""

    @property
    def version(self) -> int:
        """Its version then."""

    @property
    def checked(self) -> str:
        """Who had checked it."""

    @property
    def was(self) -> dict[str, Any] | None:
        """Its document then."""

    @property
    def now(self) -> Any:
        """The record as it is, None where it is not in use."""

    @property
    def changed(self) -> bool:
        """Whether it says something else today."""


@dataclass(frozen=True)
class CellThen:
    """One cell as it was shown; the chip tells a failed check before the torque's verdict."""

    verdict: str
    ratio: str
    span: str
    chip: Chip
    failed: str = ""


@dataclass(frozen=True)
class RowThen:
    """One pack with its cells."""

    name: str
    cells: tuple[CellThen, ...]


@dataclass(frozen=True)
class RecordLine:
    """A record that the sheet rests on."""

    name: str
    href: str
    version: int
    checked: str
    friction: str = ""


@dataclass(frozen=True)
class RecordChange:
    """What a record says otherwise today."""

    name: str
    href: str
    what: str
    fields: tuple[Difference, ...] = ()


@dataclass(frozen=True)
class VerdictPage:
    """A kept verdict.

    Attributes:
        differs: what differs today besides the records, as (name, then, now).
        flips: verdicts that come out otherwise today, as (where, then, now).
        same: whether nothing differs.
    """

    id: str
    title: str
    how: str
    facts: tuple[tuple[str, str], ...]
    engines: tuple[str, ...]
    rows: tuple[RowThen, ...]
    cells_words: str
    records: tuple[RecordLine, ...]
    differs: tuple[Difference, ...]
    changes: tuple[RecordChange, ...]
    flips: tuple[Difference, ...]
    flips_more: int
    flips_unknown: str
    today_href: str

    @property
    def same(self) -> bool:
        """Whether all is as it was."""
        return not (self.differs or self.changes or self.flips or self.flips_unknown)


@dataclass(frozen=True)
class VerdictLine:
    """One kept verdict of the list."""

    title: str
    href: str
    when: str
    by: str
    how: str


def verdict_line(row: Mapping[Any, Any]) -> VerdictLine:
    """One kept verdict of the list."""
    return VerdictLine(
        title=row["title"],
        href=f"/verdicts/{row['public_id']}",
        when=when_words(row["at"]),
        by=row["by"],
        how=WAY_WORDS[row["way"]],
    )


def verdict_page(
    row: Mapping[Any, Any],
    view: BoardView,
    packs: Sequence[Then],
    engines: Sequence[Then],
    today: Sequence[Sequence[Sequence[Any]]] | None,
    heavy_now: float,
    version_now: str,
) -> VerdictPage:
    """The page of a kept verdict.

    Args:
        row: of the table of verdicts.
        view: that it was made by.
        packs: its packs then and now.
        engines: likewise.
        today: the same cells worked out today, None where they can't be.
        heavy_now: the team's limit today.
        version_now: the program's version today.
    """
    content, at = row["content"], row["at"]
    cells = content["cells"]
    flips = [] if cells is None or today is None else _flips(packs, engines, cells, today)
    return VerdictPage(
        id=row["public_id"],
        title=row["title"],
        how=WAY_WORDS[row["way"]],
        facts=_facts(row, view, at),
        engines=tuple(e.name for e in engines),
        rows=() if cells is None else _rows(packs, cells, content.get("failed")),
        cells_words=""
        if cells is not None
        else "This board was too large to keep every figure; the versions of its records are kept.",
        records=_records(packs, engines, content.get("friction")),
        differs=_differs(content, view, heavy_now, version_now),
        changes=tuple(c for record in (*packs, *engines) if (c := _change(record)) is not None),
        flips=tuple(flips[:MOST_TOLD]),
        flips_more=max(0, len(flips) - MOST_TOLD),
        flips_unknown="A record is not in use any more, so it is not worked out again."
        if cells is not None and today is None
        else "",
        today_href=_today_href(row, view, packs, engines),
    )


def _facts(row: Mapping[Any, Any], view: BoardView, at: datetime) -> tuple[tuple[str, str], ...]:
    content = row["content"]
    return (
        ("State", state_words(view)),
        ("Limits", limits_words(content["heavy_above"])),
        ("Rule", RULE),
        ("Worked out", when_words(at)),
        ("By", f"{row['by']}, {WAY_WORDS[row['way']]}"),
        ("Data", f"catalogue revision {row['revision']}"),
        ("Program", f"Gripledger {content['app']}, model {content['model']}"),
    )


def _rows(
    packs: Sequence[Then],
    cells: Sequence[Sequence[Sequence[Any]]],
    failed: Sequence[Sequence[Sequence[Any]]] | None,
) -> tuple[RowThen, ...]:
    """The cells as they were shown; sheets of earlier versions kept no failed checks."""
    checks = failed or [[()] * len(row) for row in cells]
    return tuple(
        RowThen(
            pack.name,
            tuple(_cell(cell, tuple(names)) for cell, names in zip(row, told, strict=True)),
        )
        for pack, row, told in zip(packs, cells, checks, strict=True)
    )


def _cell(cell: Sequence[Any], failed: tuple[Any, ...] = ()) -> CellThen:
    verdict, ratio, low, high, chance = cell
    chip = chip_of(verdict, failed)
    others = failed_words(failed[1:]) if stands_first(verdict, failed) else ""
    if ratio is None:
        return CellThen(str(verdict), NOT_KNOWN, "", chip, others)
    ends = [NOT_KNOWN if end is None else fast_ratio(end) for end in (low, high)]
    span = f"{span_text(*ends)}, {probability_text(chance)} to fall short"
    if chip.key != verdict:
        span = f"torque {VERDICT_WORDS[verdict].lower()} {fast_ratio(ratio)} ({span_text(*ends)})"
    return CellThen(str(verdict), fast_ratio(ratio), span, chip, others)


def _records(
    packs: Sequence[Then],
    engines: Sequence[Then],
    friction: Sequence[Mapping[str, Any] | None] | None,
) -> tuple[RecordLine, ...]:
    used = friction or [None] * len(packs)
    lines = [
        RecordLine(p.name, f"/packs/{p.id}/history", p.version, p.checked, _friction_text(f))
        for p, f in zip(packs, used, strict=True)
    ]
    lines += [RecordLine(e.name, f"/engines/{e.id}/history", e.version, e.checked) for e in engines]
    return tuple(lines)


def _friction_text(used: Mapping[str, Any] | None) -> str:
    if used is None:
        return ""
    text = quantity_text(used["value"], used["u"])
    return f"{text}, {used['how'] or 'how known: not said'}"


def _differs(
    content: Mapping[str, Any], view: BoardView, heavy_now: float, version_now: str
) -> tuple[Difference, ...]:
    found = []
    if content["model"] != MODEL_VERSION:
        found.append(Difference("Model", content["model"], MODEL_VERSION))
    if content["app"] != version_now:
        found.append(Difference("Program", content["app"], version_now))
    if view.heavy_above is None and content["heavy_above"] != heavy_now:
        texts = number_text(content["heavy_above"]), number_text(heavy_now)
        found.append(Difference("Called heavy above", *texts))
    return tuple(found)


def _change(record: Then) -> RecordChange | None:
    if not record.changed:
        return None
    href = f"/{record.kind}s/{record.id}/history"
    if record.now is None:
        return RecordChange(record.name, href, "is not in use any more")
    if record.was is None:
        what = f"is at version {record.now.version}; version {record.version} was shown"
        return RecordChange(record.name, href, what)
    fields = differences(record.kind, record.was, record.now.document.written())
    return RecordChange(record.name, href, "was changed since", fields)


def _flips(
    packs: Sequence[Then],
    engines: Sequence[Then],
    then: Sequence[Sequence[Sequence[Any]]],
    today: Sequence[Sequence[Sequence[Any]]],
) -> list[Difference]:
    """Cells whose verdict or ratio comes out otherwise; another verdict comes first."""
    found = []
    for i, pack in enumerate(packs):
        for j, engine in enumerate(engines):
            was, now = then[i][j], today[i][j]
            if list(was) != list(now):
                line = Difference(f"{pack.name} on {engine.name}", _told(was), _told(now))
                found.append((was[0] == now[0], line))
    return [line for _, line in sorted(found, key=lambda pair: pair[0])]


def _told(cell: Sequence[Any]) -> str:
    shown = _cell(cell)
    return f"{VERDICT_WORDS[shown.verdict]} {shown.ratio} ({shown.span})".replace(" ()", "")


def _today_href(
    row: Mapping[Any, Any], view: BoardView, packs: Sequence[Then], engines: Sequence[Then]
) -> str:
    if row["kind"] == "cell":
        return view.cell_address(packs[0].id, engines[0].id)
    return view.address()
