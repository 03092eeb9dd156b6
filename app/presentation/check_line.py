"""The mark "figures checked by", and what is said where a change took it away."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from app.documents import Engine, Pack
from app.presentation.change_words import differences
from app.presentation.history_page import when_words


@dataclass(frozen=True)
class CheckLine:
    """Who checked the figures, or who did before which change.

    Attributes:
        by: name and day of the check that stands, "" for none.
        lost: name and day of the check that was withdrawn last, "" for none.
        why: the change that withdrew it, in words; `href` its page.
    """

    by: str = ""
    lost: str = ""
    why: str = ""
    href: str = ""


NO_CHECK = CheckLine()


def check_line(
    noun: str, document: Pack | Engine, withdrawal: Mapping[Any, Any] | None
) -> CheckLine:
    """What a record's page says of its check.

    Args:
        noun: kind of the record.
        document: the record.
        withdrawal: the change that withdrew its last check, None for none.
    """
    if document.checked is not None:
        return CheckLine(by=check_words(document.checked.by, document.checked.at))
    if withdrawal is None:
        return CheckLine()
    was = withdrawal["before"]["checked"]
    fields = differences(noun, withdrawal["before"], withdrawal["after"])
    labels = [field.label for field in fields if field.label != _CHECK]
    what = f"changed {_listed(labels)}" if labels else "took it back"
    return CheckLine(
        lost=check_words(was["by"], was.get("at")),
        why=f"{withdrawal['by']} {what} on {when_words(withdrawal['at'])}",
        href=f"/history/{withdrawal['id']}",
    )


_CHECK = "Figures checked by"


def check_words(by: str, at: str | None) -> str:
    """Name and day of a check.

    >>> check_words("Bea", "2026-11-25"), check_words("Bea", None)
    ('Bea, 2026-11-25', 'Bea')
    """
    return f"{by}, {at}" if at else by


def _listed(labels: list[str]) -> str:
    small = [f"{label[:1].lower()}{label[1:]}" for label in labels]
    if len(small) > 3:
        small = [*small[:3], f"{len(labels) - 3} more"]
    return " and ".join(small) if len(small) < 3 else f"{', '.join(small[:-1])} and {small[-1]}"
