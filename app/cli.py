"""The `gripledger` command. What a command needs is imported when it runs: `--help` is quick."""

import ipaddress
import signal
import socket
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from app.errors import AppError
from app.settings import Settings

if TYPE_CHECKING:
    from app.records.migrate import BroughtUp

_HOST = click.option("--host", help="Address to listen on; this computer's own unless set.")
_PORT = click.option(
    "--port", type=click.IntRange(0, 65535), help="Port to listen on; 0 takes any free one."
)


@click.group()
@click.version_option(package_name="gripledger", prog_name="gripledger")
def main() -> None:
    """Which clutch pack holds which small engine, with what margin, and how sure that is."""


@main.command()
@_HOST
@_PORT
def serve(host: str | None, port: int | None) -> None:
    """Serve the catalogue in the data folder."""
    settings = with_address(Settings(), host, port)
    listener = listen(settings)
    say_brought_up(bring_up(settings))
    run(settings, listener)


@main.command()
@_HOST
@_PORT
def demo(host: str | None, port: int | None) -> None:
    """Serve a made-up shop from a throw-away folder: try everything, keep nothing."""
    # Ending is an exception here, so that the folder goes however the program is stopped.
    signal.signal(signal.SIGTERM, _end)
    with tempfile.TemporaryDirectory(prefix="gripledger-demo-") as folder:
        settings = with_address(
            Settings().model_copy(
                update={"data_dir": Path(folder), "database_url": "", "made_up": True}
            ),
            host,
            port,
        )
        listener = listen(settings)
        bring_up(settings)
        fill_with_demo(settings)
        click.echo("A made-up shop; every figure is invented. It is gone when you stop this.")
        run(settings, listener)


@main.command()
def migrate() -> None:
    """Make the database, or bring an older one up, and stop."""
    say_brought_up(bring_up(Settings()), always=True)


def _end(_signal: int, _frame: object) -> NoReturn:
    raise SystemExit(0)


def with_address(settings: Settings, host: str | None, port: int | None) -> Settings:
    """The settings with the address that the command line names, if that may be listened on."""
    update: dict[str, object] = {}
    if host is not None:
        update["host"] = host.strip("[]")
    if port is not None:
        update["port"] = port
    settings = settings.model_copy(update=update)
    if not is_loopback(settings.host):
        raise click.ClickException(
            f"{settings.host} is reached by other computers, and this program has no accounts yet, "
            "so anybody there could change the records. Use --host 127.0.0.1. Nothing was started."
        )
    return settings


def is_loopback(host: str) -> bool:
    """Whether an address is this computer's own and no other's.

    >>> is_loopback("127.0.0.1"), is_loopback("::1"), is_loopback("0.0.0.0")
    (True, True, False)
    """
    if host == "localhost":
        return True
    try:
        address = ipaddress.ip_address(host)
    except ValueError:
        return False
    # The pages answer to these names only (the guard against names pointed at us).
    return str(address) in ("127.0.0.1", "::1")


def listen(settings: Settings) -> socket.socket:
    """The socket to serve on, taken before anything is touched."""
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    listener = socket.socket(family)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((settings.host, settings.port))
    except OSError as error:
        listener.close()
        raise click.ClickException(
            f"Port {settings.port} on {settings.host} cannot be used ({error.strerror}). "
            "Name another with --port, or 0 for any free one."
        ) from error
    return listener


def bring_up(settings: Settings) -> "BroughtUp":
    """Bring the database up and fill its tables, or stop with the reason in words."""
    from app.services.starting import prepare

    try:
        return prepare(settings)
    except AppError as fact:
        raise click.ClickException(fact.message) from fact


def say_brought_up(done: "BroughtUp", always: bool = False) -> None:
    """Say what was done to the database, if anything was."""
    if done.before == done.after:
        if always:
            click.echo(f"The database is at revision {done.after} already.")
    elif done.before is None:
        click.echo(f"A new database was made, at revision {done.after}.")
    else:
        click.echo(f"The database was brought from revision {done.before} to {done.after}.")
        if done.backup is not None:
            click.echo(f"A checked copy of it as it was: {done.backup}")


def fill_with_demo(settings: Settings) -> None:
    """Load the made-up shop."""
    from app.records.database import writing
    from app.services.seeding import load_demo
    from app.services.starting import open_engine

    engine = open_engine(settings)
    try:
        with writing(engine) as session:
            load_demo(session)
    finally:
        engine.dispose()


def run(settings: Settings, listener: socket.socket) -> None:
    """Serve until stopped."""
    import uvicorn

    from app.main import create_app
    from app.web import log_lines

    log_lines.start()
    port = listener.getsockname()[1]
    host = f"[{settings.host}]" if ":" in settings.host else settings.host
    click.echo(f"Gripledger is at http://{host}:{port}/ (stop it with Ctrl+C)")
    config = uvicorn.Config(
        create_app(settings),
        log_config=None,
        access_log=False,
        server_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=5,
    )
    uvicorn.Server(config).run(sockets=[listener])
