"""Facts that stop an action, named for what happened.

Which status code each of them gets is the web's business. Every message is a sentence for the
person who typed: it says what would be right.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass


class AppError(Exception):
    """The root of every refusal the program makes on purpose."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


class NotFound(AppError):
    """No record of this kind has this key, or it was put aside."""

    def __init__(self, kind: str, key: object) -> None:
        super().__init__(f"There is no {kind} {key}. It may have been put aside or renamed.")
        self.kind = kind
        self.key = key


class StaleRecord(AppError):
    """Somebody saved the record after this copy of it was read.

    Attributes:
        sent_version: the version that the refused change started from, None where none was sent.
        current: the record as it stands now, so that both can be shown side by side.
    """

    def __init__(
        self, kind: str, key: object, sent_version: int | None, current: Mapping[str, object]
    ) -> None:
        super().__init__(
            f"Somebody else saved this {kind} while you were changing it. "
            "Nothing was saved: compare both versions and save again."
        )
        self.kind = kind
        self.key = key
        self.sent_version = sent_version
        self.current = current


class NewerChange(AppError):
    """A change can't be undone: the record, or one of an import's records, was changed since.

    Attributes:
        newer: keys of the later changes, the newest first, as far as the history has them.
    """

    def __init__(self, name: str, newer: Iterable[int] = ()) -> None:
        super().__init__(
            f"“{name}” was changed again since. Nothing was undone: look at both, and undo the "
            "newest change first, or put the figures right by hand."
        )
        self.newer = tuple(newer)


class NotImported(AppError):
    """A file is not kept as it was asked for; nothing was written."""


class CannotUndo(AppError):
    """A change is of a kind that has no way back here."""


class DuplicateName(AppError):
    """Another record of the kind already has this name."""

    def __init__(self, kind: str, name: str) -> None:
        super().__init__(f"There is already a {kind} called “{name}”. Choose another name.")
        self.kind = kind
        self.name = name


class InUse(AppError):
    """The record is needed by others and stays until they let go of it."""

    def __init__(self, kind: str, key: object, users: Iterable[str] = ()) -> None:
        self.users = tuple(users)
        by = f" by {', '.join(self.users)}" if self.users else ""
        super().__init__(f"This {kind} is still used{by}. Take it out there first.")
        self.kind = kind
        self.key = key


@dataclass(frozen=True)
class Problem:
    """One thing wrong with what was sent.

    Attributes:
        field: path of the figure, such as ``clamp.springs.0.wire_mm``; "" for the whole.
        message: a sentence that says what would be right.
    """

    field: str
    message: str


class BadInput(AppError):
    """What was sent cannot be taken as it is; ``problems`` says where and what would be right."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = list(problems)
        super().__init__(" ".join(problem.message for problem in self.problems))


class NewerSchema(AppError):
    """The database was made by a newer version of the program; nothing is changed in it."""

    def __init__(self, found: str, known: str) -> None:
        super().__init__(
            f"The database is at revision {found}, newer than this program knows ({known}). "
            "Nothing was changed. Start it with the newer version, or restore an older backup."
        )
        self.found = found
        self.known = known


class StorageUnavailable(AppError):
    """The database could not be written or read: full disk, lock, lost connection."""

    def __init__(self, reason: str) -> None:
        super().__init__(f"Nothing was saved: {reason}. What you typed is kept; try again.")
        self.reason = reason


class OutsideValidity(AppError):
    """A formula was asked for a point outside the range that its source covers."""


class NotForRole(AppError):
    """A member may not do this; the sentence says who may."""

    def __init__(self, needed: str, has: str) -> None:
        whom = {"viewer": "members", "editor": "editors", "admin": "administrators"}
        what = {"viewer": "a viewer", "editor": "an editor", "admin": "an administrator"}
        super().__init__(f"This is for {whom[needed]}; you are signed in as {what[has]}.")


class WrongSignIn(AppError):
    """Name and password do not belong together; which of the two is wrong is not told."""

    def __init__(self) -> None:
        super().__init__("This name and password do not go together. Check both and try again.")


class WrongCode(AppError):
    """A set-up code is unknown, used or over; which of these is not told."""

    def __init__(self) -> None:
        super().__init__(
            "This code and name do not go together, or the code was used or is older than half an "
            "hour. Check both, or have a new code made."
        )


class HaveToWait(AppError):
    """Too many tries failed of late.

    Attributes:
        seconds: until the next try.
    """

    def __init__(self, seconds: int) -> None:
        minutes = -(-seconds // 60)
        whole = "1 minute" if minutes == 1 else f"{minutes} minutes"
        time = f"{seconds} s" if seconds < 60 else whole
        super().__init__(f"Too many tries failed. Wait {time}, then try again.")
        self.seconds = seconds
