"""What a file of slip tests would change, line by line, in words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.documents import TorqueReading
from app.presentation.numbers import NOT_KNOWN, number_text
from app.presentation.slip_log import reading_text

ACTION_WORDS = {
    "new": "New",
    "changed": "Changed",
    "unchanged": "Nothing to change",
    "refused": "Can't be read",
}
Line = tuple[int, str, str, Sequence[tuple[str, object, object]], Sequence[tuple[str, str]]]


@dataclass(frozen=True, slots=True)
class ImportLine:
    """One line: its row in the spreadsheet, what it would do, the changes or what is wrong."""

    row: int
    action: str
    word: str
    name: str
    changes: tuple[tuple[str, str, str], ...]
    problems: tuple[tuple[str, str], ...]


def import_lines(lines: Sequence[Line]) -> tuple[ImportLine, ...]:
    """Every line as the page shows it: row, action, name, differences, problems by column."""
    return tuple(
        ImportLine(
            row=row,
            action=action,
            word=ACTION_WORDS[action],
            name=name,
            changes=tuple(
                (label.replace("_", " "), value_words(before), value_words(after))
                for label, before, after in changes
            ),
            problems=tuple(problems),
        )
        for row, action, name, changes, problems in lines
    )


def value_words(value: object) -> str:
    """A figure of a run in words.

    >>> value_words(True), value_words(None), value_words([{"torque_nm": 5.0}])
    ('yes', 'not known', '5')
    """
    if value is None:
        return NOT_KNOWN
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return number_text(value)
    if isinstance(value, list):
        return "; ".join(reading_text(TorqueReading.model_validate(one)) for one in value)
    return str(value)


def counts_words(counts: Mapping[str, int]) -> str:
    """How many lines would do what.

    >>> counts_words({"new": 2, "changed": 0, "unchanged": 1, "refused": 0})
    '2 new, 1 nothing to change'
    """
    told = [f"{n} {ACTION_WORDS[name].lower()}" for name, n in counts.items() if n]
    return ", ".join(told)
