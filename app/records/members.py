"""People: members, where they are signed in, codes to begin with, tokens of their scripts.

A secret (a session's id, a code, a token) is kept only as a digest, a password as a slow hash.
"""

from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import declared_attr
from sqlmodel import Field, SQLModel

from app.records.base import FOLDED, PUBLIC_ID_LENGTH, UtcDateTime, folded, now, public_id, table_of

ROLES = ("viewer", "editor", "admin")
"""From the one who may least: reads; changes records; and people and settings besides."""

DIGEST = sa.String(64)


def name_key(name: str) -> str:
    """The form in which names are compared and sought; of any text, one that a database takes.

    >>> name_key(" Ada  LOVELACE")
    'ada lovelace'
    """
    return folded(name.encode("utf-8", "replace").decode().replace("\0", "?"))


class Member(SQLModel, table=True):
    """One person; never taken out, since the history names them."""

    __tablename__ = "member"
    __table_args__ = (sa.CheckConstraint("role IN ('viewer', 'editor', 'admin')", name="role"),)

    id: int | None = Field(default=None, primary_key=True)
    public_id: str = Field(
        default_factory=public_id, sa_type=sa.String(PUBLIC_ID_LENGTH), unique=True
    )
    version: int = Field(default=None, nullable=False)
    name: str = Field(sa_type=sa.Text)
    name_key: str = Field(sa_type=FOLDED, unique=True)
    role: str = Field(sa_type=sa.Text)
    # The hash says in itself by which settings it was made; none: a code has to be used first.
    password_hash: str | None = Field(default=None, sa_type=sa.Text)
    password_at: datetime | None = Field(default=None, sa_type=UtcDateTime)
    disabled_at: datetime | None = Field(default=None, sa_type=UtcDateTime)
    created_at: datetime = Field(default_factory=now, sa_type=UtcDateTime)
    created_by: str = Field(sa_type=sa.Text)
    changed_at: datetime = Field(default_factory=now, sa_type=UtcDateTime)
    changed_by: str = Field(sa_type=sa.Text)

    @declared_attr.directive
    @classmethod
    def __mapper_args__(cls) -> dict[str, Any]:
        return {"version_id_col": table_of(cls).c.version}


class MemberSession(SQLModel, table=True):
    """One browser in which a member is signed in."""

    __tablename__ = "member_session"

    id: int | None = Field(default=None, primary_key=True)
    public_id: str = Field(
        default_factory=public_id, sa_type=sa.String(PUBLIC_ID_LENGTH), unique=True
    )
    member_id: int = Field(foreign_key="member.id", index=True)
    id_digest: str = Field(sa_type=DIGEST, unique=True)
    created_at: datetime = Field(default_factory=now, sa_type=UtcDateTime)
    last_seen_at: datetime = Field(default_factory=now, sa_type=UtcDateTime)
    ends_at: datetime = Field(sa_type=UtcDateTime)
    browser: str = Field(sa_type=sa.Text)
    address: str = Field(sa_type=sa.Text)


class FailedTries(SQLModel, table=True):
    """How often signing in failed of late, for one account or from one address."""

    __tablename__ = "failed_tries"

    key: str = Field(primary_key=True, sa_type=sa.Text)
    count: int = Field(default=0)
    last_at: datetime = Field(default_factory=now, sa_type=UtcDateTime)


class SetupToken(SQLModel, table=True):
    """A code that lets its bearer choose a password once; without a member: the first one."""

    __tablename__ = "setup_token"

    id: int | None = Field(default=None, primary_key=True)
    code_digest: str = Field(sa_type=DIGEST, unique=True)
    member_id: int | None = Field(default=None, foreign_key="member.id", index=True)
    created_at: datetime = Field(default_factory=now, sa_type=UtcDateTime)
    ends_at: datetime = Field(sa_type=UtcDateTime)
    used_at: datetime | None = Field(default=None, sa_type=UtcDateTime)


class ApiToken(SQLModel, table=True):
    """What a member's script signs in with."""

    __tablename__ = "api_token"

    id: int | None = Field(default=None, primary_key=True)
    public_id: str = Field(
        default_factory=public_id, sa_type=sa.String(PUBLIC_ID_LENGTH), unique=True
    )
    member_id: int = Field(foreign_key="member.id", index=True)
    name: str = Field(sa_type=sa.Text)
    token_digest: str = Field(sa_type=DIGEST, unique=True)
    created_at: datetime = Field(default_factory=now, sa_type=UtcDateTime)
    last_used_at: datetime | None = Field(default=None, sa_type=UtcDateTime)
