"""`gripledger member …`: people, from the terminal of whoever runs the server.

What needs a password asks for it without showing it; codes are printed here and nowhere else.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from app.errors import AppError
from app.settings import Settings

if TYPE_CHECKING:
    from sqlalchemy.engine import Engine

    from app.records.database import WriteSession
    from app.records.members import Member

BY = "the terminal"
"""Who makes these changes, for the history."""

_ROLE = click.Choice(["viewer", "editor", "admin"])


@click.group()
def member() -> None:
    """People who sign in where the server is shared."""


@contextmanager
def _database() -> Iterator["Engine"]:
    """The database, brought up; a fact that stops the command is said in words."""
    from app.services.starting import open_engine, prepare

    try:
        settings = Settings()
        prepare(settings)
        engine = open_engine(settings)
        try:
            yield engine
        finally:
            engine.dispose()
    except AppError as fact:
        raise click.ClickException(fact.message) from fact


@member.command("setup-token")
def setup_token() -> None:
    """Print the code with which the first administrator chooses a password at /setup."""
    from app.records.database import writing_apart
    from app.services.members import has_administrator
    from app.services.setup_codes import make_code

    with _database() as engine:
        if has_administrator(engine):
            raise click.ClickException(
                "There is an administrator already, who can add others. If the password is lost: "
                "gripledger member reset NAME"
            )
        with writing_apart(engine) as connection:
            code = make_code(connection, None)
    click.echo(f"{code}\nType it at /setup within half an hour; it works once.")


@member.command()
@click.argument("name")
@click.option("--role", type=_ROLE, default="editor", show_default=True)
@click.option("--code", is_flag=True, help="Print a set-up code and ask for no password.")
def add(name: str, role: str, code: bool) -> None:
    """Add a member; asks for the password, or prints a code to choose one with."""
    from app.records.database import writing
    from app.services.members import add_member
    from app.services.setup_codes import make_code

    with _database() as engine:
        password = None if code else _new_password()
        with writing(engine) as session:
            made = add_member(session, name, role, by=BY, password=password)
            printed = make_code(session.connection(), made.id) if code else None
            said = made.name
    click.echo(f"{said} was added as {role}.")
    _say_code(printed)


@member.command("list")
def list_members() -> None:
    """List everybody: name, role, state."""
    from app.records.database import read_session
    from app.services.members import all_members

    with _database() as engine, read_session(engine) as session:
        for found in all_members(session):
            state = "disabled" if found.disabled_at is not None else "may sign in"
            if found.disabled_at is None and found.password_hash is None:
                state = "no password yet"
            click.echo(f"{found.name}\t{found.role}\t{state}")


@member.command()
@click.argument("name")
@click.argument("role", type=_ROLE)
def role(name: str, role: str) -> None:
    """Give a member another role."""
    from app.services import members

    with _member(name) as (session, found):
        members.set_role(session, found.public_id, found.version, role, by=BY)
    click.echo(f"{name} is {role} now.")


@member.command()
@click.argument("name")
def disable(name: str) -> None:
    """Shut a member out, at once and everywhere."""
    from app.services import members

    with _member(name) as (session, found):
        members.disable(session, found.public_id, found.version, by=BY)
    click.echo(f"{name} is disabled and signed out everywhere.")


@member.command()
@click.argument("name")
def enable(name: str) -> None:
    """Let a member in again."""
    from app.services import members

    with _member(name) as (session, found):
        members.enable(session, found.public_id, found.version, by=BY)
    click.echo(f"{name} may sign in.")


@member.command()
@click.argument("name")
def reset(name: str) -> None:
    """Take a member's password away and print a code for a new one."""
    from app.services import members
    from app.services.setup_codes import make_code

    with _member(name) as (session, found):
        members.reset(session, found.public_id, found.version, by=BY)
        code = make_code(session.connection(), found.id)
    click.echo(f"{name} has no password now and is signed out everywhere.")
    _say_code(code)


@member.command("end-sessions")
@click.argument("name")
def end_sessions(name: str) -> None:
    """Sign a member out everywhere."""
    from app.services import members

    with _member(name) as (session, found):
        count = members.end_sessions(session, found.public_id)
    click.echo(f"{name} was signed out of {count} session{'s' if count != 1 else ''}.")


@contextmanager
def _member(name: str) -> Iterator[tuple["WriteSession", "Member"]]:
    """A write session and the member of this name; committed at the end."""
    from app.records.database import writing
    from app.services.members import member_by_name

    with _database() as engine, writing(engine) as session:
        yield session, member_by_name(session, name)


def _new_password() -> str:
    password: str = click.prompt("Password", hide_input=True, confirmation_prompt=True)
    return password


def _say_code(code: str | None) -> None:
    if code is not None:
        click.echo(f"{code}\nType it with the name at /setup within half an hour; it works once.")
