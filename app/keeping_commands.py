"""`gripledger backup`, `restore` and `check`: the data kept safe, from the terminal."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from app.errors import AppError
from app.settings import Settings

if TYPE_CHECKING:
    from sqlalchemy.engine import Engine

BY = "the terminal"
"""Who makes these copies, for the list of them."""

_FILE = click.Path(path_type=Path, dir_okay=False)


@contextmanager
def _engine(settings: Settings) -> Iterator["Engine"]:
    """The database as it is; a fact that stops the command is said in words."""
    from app.services.starting import open_engine

    engine = open_engine(settings)
    try:
        yield engine
    except AppError as fact:
        raise click.ClickException(fact.message) from fact
    finally:
        engine.dispose()


@click.command()
@click.argument("file", type=_FILE, required=False)
def backup(file: Path | None) -> None:
    """Make a checked copy of the database, also while a server runs.

    Without FILE it goes into the folder of copies.
    """
    from app.services.safekeeping import back_up

    settings = Settings()
    with _engine(settings) as engine:
        made = back_up(settings, engine, by=BY, file=file)
    click.echo(
        f"Copied and checked: {made.file}\n"
        f"{made.holds.total} rows in {len(made.holds.rows)} tables, {made.size / 1e6:.1f} MB, "
        f"revision {made.holds.revision}. Keep a copy of it on another disk."
    )


@click.command()
@click.argument("file", type=_FILE)
@click.option("--yes", is_flag=True, help="Do not ask.")
def restore(file: Path, yes: bool) -> None:
    """Put the copy FILE back in the database's place, with every server stopped.

    The database that it replaces is kept beside it.
    """
    from app.services.safekeeping import look_through
    from app.services.safekeeping import restore as put_back

    settings = Settings()
    place = settings.url.render_as_string(hide_password=True)
    with _engine(settings) as engine:
        if not yes:
            holds = look_through(file)
            click.echo(f"{file} is sound: {holds.total} rows in {len(holds.rows)} tables.")
            click.confirm(f"Put it in the place of {place}?", abort=True)
        done = put_back(settings, engine, file)
    click.echo(f"Put back: {done.holds.total} rows in {len(done.holds.rows)} tables.")
    if done.replaced is not None:
        click.echo(f"The database that was replaced is kept as {done.replaced}.")
        if settings.url.get_backend_name() == "sqlite":
            click.echo(f'To go back to it: gripledger restore "{done.replaced}"')
        else:
            name = settings.url.database
            click.echo(
                "To go back to it, with every server stopped, in psql:\n"
                f'ALTER DATABASE "{name}" RENAME TO "{name}_put_back"; '
                f'ALTER DATABASE "{done.replaced}" RENAME TO "{name}";'
            )


@click.command()
@click.argument("file", type=_FILE, required=False)
def check(file: Path | None) -> None:
    """Look at everything that the safety of the data rests on, and change nothing.

    With FILE, check that copy instead. Ends with status 1 where there is a fault.
    """
    from app.services import soundness

    lines = [soundness.look_at_copy(file)] if file is not None else soundness.check(Settings())
    for line in lines:
        click.echo(f"{line.state:<6}{line.what}: {line.found}")
    _end(soundness.faults(lines))


def _end(faults: int) -> NoReturn:
    click.echo("No fault found." if not faults else f"Faults: {faults}.")
    raise SystemExit(1 if faults else 0)
