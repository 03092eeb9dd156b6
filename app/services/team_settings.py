"""The team's settings: their own default doubts and limits, by key, each with its version."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm.exc import StaleDataError
from sqlmodel import Session

from app.errors import BadInput, Problem, StaleRecord
from app.fields import HOWS, KINDS, DefaultDoubt
from app.fields.doubts import ANY
from app.records.base import now
from app.records.bookkeeping import Change, Setting
from app.records.database import WriteSession, raise_revision
from app.records.source_queries import setting
from app.services.stored import NO_CONTEXT, Context

LIMITS: Mapping[str, float] = {"heavy": 3.0}
"""Limits unless the team sets its own: heavy, the ratio above which a pack is too much."""

DOUBTS_KEY = "default_doubts"
LIMITS_KEY = "limits"
MEASURED_BY_KEY = "measured_by"
LONGEST_NAME = 200


@dataclass(frozen=True, slots=True)
class Held:
    """A setting as it stands: its value, and the version that a change of it must name."""

    value: Any
    version: int


def held(session: Session, key: str) -> Held:
    """A setting's value, None with version 0 where it was never set."""
    found = setting(session, key)
    return Held(None, 0) if found is None else Held(found.value, found.version)


def doubt_overrides(session: Session) -> dict[tuple[str, str], DefaultDoubt]:
    """The team's own rows of default doubts, by kind and how."""
    rows = held(session, DOUBTS_KEY).value or []
    return {(row["kind"], row["how"]): DefaultDoubt(**row) for row in rows}


def limits(session: Session) -> dict[str, float]:
    """The limits in force: the team's own before those shipped."""
    return {**LIMITS, **(held(session, LIMITS_KEY).value or {})}


def set_doubt_overrides(
    session: WriteSession, rows: list[DefaultDoubt], *, version: int, by: str
) -> None:
    """Keep the team's own rows of default doubts; they replace those kept before.

    Raises:
        BadInput: a row's kind or how is not in the table, or it gives no half-width.
        StaleRecord: somebody changed the setting since `version`.
    """
    problems = []
    for i, row in enumerate(rows):
        at = f"{DOUBTS_KEY}.{i}"
        if row.kind not in (*KINDS, ANY):
            problems.append(Problem(f"{at}.kind", f"Write one of {', '.join(KINDS)}."))
        if row.how not in HOWS:
            problems.append(Problem(f"{at}.how", f"Write one of {', '.join(HOWS)}."))
        for name in ("absolute", "relative"):
            half = getattr(row, name)
            if half is not None and not 0 <= half < float("inf"):
                problems.append(Problem(f"{at}.{name}", "Write 0 or a number above it."))
        if row.relative is not None and row.relative >= 1:
            problems.append(Problem(f"{at}.relative", "Write a fraction below 1; 0.02 is 2 %."))
    if problems:
        raise BadInput(problems)
    value = [
        {
            "kind": row.kind,
            "how": row.how,
            "absolute": row.absolute,
            "relative": row.relative,
            "note": row.note,
        }
        for row in rows
    ]
    keep(session, DOUBTS_KEY, value, version, by)


def set_limits(
    session: WriteSession, values: Mapping[str, float], *, version: int, by: str
) -> None:
    """Keep the team's own limits.

    Raises:
        BadInput: a limit is not known, or not above 1.
        StaleRecord: somebody changed the setting since `version`.
    """
    problems = [
        Problem(f"{LIMITS_KEY}.{name}", f"Write one of {', '.join(LIMITS)}.")
        for name in values
        if name not in LIMITS
    ]
    problems += [
        Problem(f"{LIMITS_KEY}.{name}", "Write a ratio above 1, like 3.")
        for name, value in values.items()
        if name in LIMITS and not 1 < value < float("inf")
    ]
    if problems:
        raise BadInput(problems)
    keep(session, LIMITS_KEY, dict(values), version, by)


def measured_by(session: Session) -> str:
    """The name that forms begin with under "measured by", "" for none."""
    return str(held(session, MEASURED_BY_KEY).value or "")


def set_measured_by(session: WriteSession, name: str, *, version: int, by: str) -> None:
    """Keep the name that forms begin with; "" for none.

    Raises:
        BadInput: the name is too long for a figure to carry.
        StaleRecord: somebody changed the setting since `version`.
    """
    plain = " ".join(name.split())
    if len(plain) > LONGEST_NAME or not plain.isprintable():
        told = f"Write a name of at most {LONGEST_NAME} printable characters."
        raise BadInput([Problem(MEASURED_BY_KEY, told)])
    keep(session, MEASURED_BY_KEY, plain, version, by)


def put_back(
    session: WriteSession, key: str, value: Any, *, version: int, by: str, context: Context
) -> None:
    """Keep a setting as it was before a change, as far as the history has it.

    Raises:
        StaleRecord: somebody changed the setting since `version`.
    """
    keep(session, key, value, version, by, context)


def keep(
    session: WriteSession,
    key: str,
    value: Any,
    version: int,
    by: str,
    context: Context = NO_CONTEXT,
) -> None:
    """Keep a setting's value, with its change.

    Raises:
        StaleRecord: somebody changed the setting since `version`.
    """
    raise_revision(session)
    found = setting(session, key)
    standing = 0 if found is None else found.version
    if standing != version:
        current = {"value": None if found is None else found.value, "version": standing}
        raise StaleRecord("setting", key, version, current)
    before = None if found is None else {"value": found.value}
    if found is None:
        found = Setting(key=key, value=value, changed_by=by)
        session.add(found)
    else:
        found.value, found.changed_by, found.changed_at = value, by, now()
    try:
        session.flush()
    except StaleDataError:
        raise StaleRecord("setting", key, version, {"version": standing + 1}) from None
    session.add(
        Change(
            by=by,
            action="set",
            noun="setting",
            record=key,
            name=key,
            version=found.version,
            before=before,
            after={"value": value},
            reason=context.reason,
            undoes=context.undoes,
        )
    )
    session.flush()
