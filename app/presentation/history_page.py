"""Pages of the history: who changed what, when, from what to what, and why."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import Any

from app.presentation.change_words import (
    NONE,
    Difference,
    Names,
    Referred,
    differences,
    referred_ids,
)
from app.presentation.record_list import Pager

ACTION_WORDS = {
    "add": "added",
    "change": "changed",
    "put aside": "put aside",
    "bring back": "brought back",
    "move": "moved",
    "set": "set",
}
SETTING_WORDS = {
    "default_doubts": "Usual doubts",
    "limits": "Limits",
    "measured_by": "Measured by",
}
HOMES = {
    "pack": "/packs",
    "engine": "/engines",
    "offer": "/offers",
    "comparison": "/comparisons",
    "shortlist line": "/shortlist",
}
"""Where the pages of each kind of record begin, for those with a history page of their own."""

_PAGES = {
    "pack": "/packs",
    "engine": "/engines",
    "instrument": "/instruments",
    "offer": "/offers",
}
"""Where the pages of those records begin that others name."""

SHOWN = 4
"""Fields that a line of the list shows; the page of the change has the rest."""

Raw = Mapping[Any, Any]


@dataclass(frozen=True)
class ChangeLine:
    """One change.

    Attributes:
        key: of the change.
        when: in words, with the zone.
        what: such as "changed the pack".
        record: the record's history, "" where there is none.
        more: how many fields are left out.
        undone: who took it back and when, "" for nobody; `undone_href` that change.
        batch: address of the import it belongs to, "" for none.
    """

    key: int
    href: str
    when: str
    by: str
    what: str
    name: str
    record: str
    fields: tuple[Difference, ...]
    more: int
    reason: str
    undone: str
    undone_href: str
    undoes_href: str
    batch: str

    @property
    def is_new(self) -> bool:
        """Whether there was nothing before."""
        return all(field.before == NONE for field in self.fields)


@dataclass(frozen=True)
class ChangePage:
    """One change with every field, its undo, and what stands in the way of it."""

    line: ChangeLine
    undo: str
    newer: tuple[ChangeLine, ...] = ()
    refusal: str = ""


@dataclass(frozen=True)
class BatchPage:
    """What an import did as a whole."""

    title: str
    when: str
    by: str
    reason: str
    counts: tuple[str, ...]
    changes_href: str
    undo: str
    undone: bool
    newer: tuple[ChangeLine, ...] = ()
    refusal: str = ""


@dataclass(frozen=True)
class HistoryLines:
    """The lines of one page of the history, and its pager."""

    lines: tuple[ChangeLine, ...]
    pager: Pager
    found: str
    page: int
    pages: int


def when_words(at: datetime) -> str:
    """A moment with its zone."""
    return f"{at:%Y-%m-%d %H:%M} UTC"


def record_name(noun: str, name: str) -> str:
    """What a record is called in the history."""
    return SETTING_WORDS.get(name, name) if noun == "setting" else name or "without a name"


def record_history(noun: str, record: str) -> str:
    """Address of a record's own history."""
    if noun == "setting":
        return "/settings/history"
    if noun in HOMES:
        return f"{HOMES[noun]}/{record}/history"
    return f"/history?noun={noun.replace(' ', '+')}&record={record}"


def ids_named(rows: Iterable[Raw]) -> dict[str, set[str]]:
    """Ids of the records that these changes name, by kind."""
    return referred_ids(
        side if isinstance(side, Mapping) else None
        for row in rows
        for side in (row["before"], row["after"])
    )


def names_shown(found: Mapping[tuple[str, str], tuple[str, bool]]) -> Names:
    """What stands in the place of ids: the name, leading to the record or, put aside, its history.

    Args:
        found: name of each record and whether it is put aside, by kind and id.
    """
    return {
        (kind, key): Referred(
            f"{name} (put aside)" if aside else name,
            record_history(kind, key) if aside else f"{_PAGES[kind]}/{key}",
        )
        for (kind, key), (name, aside) in found.items()
    }


def change_line(
    row: Raw, undone: Raw | None, shown: int = SHOWN, names: Names = MappingProxyType({})
) -> ChangeLine:
    """One row of the history as a line.

    Args:
        row: of the table of changes.
        undone: the change that took it back, None for none.
        shown: fields to show at most.
        names: of the records that it names.
    """
    noun, at = str(row["noun"]), row["at"]
    before, after = row["before"], row["after"]
    fields: tuple[Difference, ...] = ()
    if row["action"] != "put aside" and row["action"] != "bring back":
        fields = differences(
            noun,
            before if isinstance(before, Mapping) else None,
            after if isinstance(after, Mapping) else None,
            names,
        )
    if row["action"] == "add" and shown == SHOWN:
        shown = 0  # a new record is told whole on the change's own page
    taken_at = None if undone is None else undone["at"]
    return ChangeLine(
        key=int(str(row["id"])),
        href=f"/history/{row['id']}",
        when=when_words(at) if isinstance(at, datetime) else "",
        by=str(row["by"]),
        what=f"{ACTION_WORDS[str(row['action'])]} the {noun}",
        name=record_name(noun, str(row["name"])),
        record=record_history(noun, str(row["record"])),
        fields=fields[:shown],
        more=max(0, len(fields) - shown),
        reason=str(row["reason"] or ""),
        undone=f"{undone['by']}, {when_words(taken_at)}"
        if undone is not None and isinstance(taken_at, datetime)
        else "",
        undone_href=f"/history/{undone['id']}" if undone is not None else "",
        undoes_href=f"/history/{row['undoes']}" if row["undoes"] is not None else "",
        batch=f"/history/imports/{row['batch']}" if row["batch"] else "",
    )


def batch_page(
    batch: str,
    totals: Sequence[Raw],
    undone: bool,
    refusal: str = "",
    newer: tuple[ChangeLine, ...] = (),
) -> BatchPage:
    """The page of an import.

    Args:
        batch: the import.
        totals: rows of noun, action, number, by, at, reason.
        undone: whether its changes were taken back.
        refusal: why it can't be taken back, "" where nothing was asked.
        newer: the later changes that stand in the way.
    """
    counts = tuple(
        f"{row['number']} {row['noun']}{'' if row['number'] == 1 else 's'} "
        f"{ACTION_WORDS[str(row['action'])]}"
        for row in totals
    )
    first = min((row["at"] for row in totals if isinstance(row["at"], datetime)), default=None)
    return BatchPage(
        title="Many changes in one go",
        when=when_words(first) if first is not None else "",
        by=str(totals[0]["by"]),
        reason=str(totals[0]["reason"] or ""),
        counts=counts,
        changes_href=f"/history?batch={batch}",
        undo=f"/history/imports/{batch}/undo",
        undone=undone,
        newer=newer,
        refusal=refusal,
    )
