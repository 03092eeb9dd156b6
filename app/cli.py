"""The `gripledger` command. What a command needs is imported when it runs: `--help` is quick."""

import gc
import os
import signal
import socket
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from app.errors import AppError
from app.keeping_commands import backup, check, restore
from app.member_commands import member
from app.settings import LOOPBACK_NAMES, Settings
from app.table_commands import export_file, import_files

if TYPE_CHECKING:
    import uvicorn
    from fastapi import FastAPI

    from app.records.migrate import BroughtUp

_HOST = click.option("--host", help="Address to listen on; this computer's own unless set.")
_PORT = click.option(
    "--port", type=click.IntRange(0, 65535), help="Port to listen on; 0 takes any free one."
)
_FILE = click.Path(path_type=Path)


@click.group()
@click.version_option(package_name="gripledger", prog_name="gripledger")
def main() -> None:
    """Which clutch pack holds which small engine, with what margin, and how sure that is."""


for command in (member, backup, restore, check, import_files, export_file):
    main.add_command(command)


@main.command()
@_HOST
@_PORT
@click.option("--tls-cert", type=_FILE, help="The server's certificate with its chain (PEM).")
@click.option("--tls-key", type=_FILE, help="The certificate's private key (PEM).")
@click.option(
    "--insecure-lan",
    is_flag=True,
    help="Answer other computers without encryption: whoever is on the network can read along.",
)
@click.option(
    "--processes",
    type=click.IntRange(1, 64),
    default=1,
    show_default=True,
    help="Server processes at this address; one for each core is plenty.",
)
def serve(
    host: str | None,
    port: int | None,
    tls_cert: Path | None,
    tls_key: Path | None,
    insecure_lan: bool,
    processes: int,
) -> None:
    """Serve the catalogue in the data folder; other computers only after signing in."""
    settings = with_address(Settings(), host, port)
    given = {"tls_cert": tls_cert, "tls_key": tls_key, "insecure_lan": insecure_lan or None}
    named = {name: value for name, value in given.items() if value is not None}
    settings = settings.model_copy(update=named)
    refuse_open_door(settings)
    with listen(settings) as listener, collector_at_rest():
        say_brought_up(bring_up(settings))
        refuse_without_administrator(settings)
        run(settings, listener, processes)


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
        if settings.require_sign_in:
            raise click.ClickException(
                f"The made-up shop has no members, so it is for this computer alone and not for "
                f"{settings.host}. Use --host 127.0.0.1. Nothing was started."
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


@contextmanager
def collector_at_rest() -> Iterator[None]:
    """All that a start makes stays, so nothing is looked through; a ready server turns it on."""
    gc.disable()
    try:
        yield
    finally:
        gc.enable()


def with_address(settings: Settings, host: str | None, port: int | None) -> Settings:
    """The settings with the address that the command line names."""
    update: dict[str, object] = {}
    if host is not None:
        update["host"] = host.strip("[]")
    if port is not None:
        update["port"] = port
    return settings.model_copy(update=update)


def refuse_open_door(settings: Settings) -> None:
    """Stop before anything is touched where others would come in without protection.

    Raises:
        ClickException: says what is missing.
    """
    if not settings.require_sign_in:
        return
    if (settings.tls_cert is None) != (settings.tls_key is None):
        raise click.ClickException("--tls-cert and --tls-key go together: give both.")
    if settings.encrypted and settings.insecure_lan:
        raise click.ClickException("Give a certificate or --insecure-lan, not both.")
    if not (settings.encrypted or settings.insecure_lan):
        raise click.ClickException(
            f"Other computers would reach {settings.host}, and what they send could be read on the "
            "way. Give a certificate with --tls-cert and --tls-key, or type --insecure-lan if "
            "everybody on this network may read passwords and figures. For this computer alone "
            "use --host 127.0.0.1. Nothing was started."
        )
    if settings.host_names == LOOPBACK_NAMES:
        raise click.ClickException(
            f"{settings.host} stands for every address of this computer. Say under which names "
            "others will ask for it, such as GRIPLEDGER_ALLOWED_HOSTS=bench.lan,192.168.1.5"
        )
    if settings.encrypted:
        _try_certificate(settings)


def _try_certificate(settings: Settings) -> None:
    import ssl

    try:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        # Without a terminal to ask on, a key with a password must fail and not wait.
        context.load_cert_chain(str(settings.tls_cert), str(settings.tls_key), password="")
    except OSError as error:  # a file that is not there, and every fault of a certificate
        raise click.ClickException(
            f"The certificate {settings.tls_cert} with the key {settings.tls_key} can't be used: "
            f"{error.strerror or error}. Both are PEM files, the key without a password."
        ) from error


def refuse_without_administrator(settings: Settings) -> None:
    """Stop where everybody has to sign in and nobody could let anybody in.

    Raises:
        ClickException: says how to make an administrator.
    """
    from app.services.members import has_administrator
    from app.services.starting import open_engine

    if not settings.require_sign_in:
        return
    engine = open_engine(settings)
    try:
        there = has_administrator(engine)
    except AppError as fact:
        raise click.ClickException(fact.message) from fact
    finally:
        engine.dispose()
    if not there:
        raise click.ClickException(
            "There is no administrator yet, so nobody could sign in. Make one first: "
            "gripledger member add NAME --role admin. Nothing was started."
        )


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


def run(settings: Settings, listener: socket.socket, processes: int = 1) -> None:
    """Serve until stopped."""
    import uvicorn

    from app.main import create_app
    from app.web import log_lines

    log_lines.start()
    port = listener.getsockname()[1]
    host = f"[{settings.host}]" if ":" in settings.host else settings.host
    scheme = "https" if settings.encrypted else "http"
    click.echo(f"Gripledger is at {scheme}://{host}:{port}/ (stop it with Ctrl+C)")
    if settings.require_sign_in:
        others = sorted(settings.host_names - LOOPBACK_NAMES)
        click.echo(f"It answers to {', '.join(others)}, and everybody has to sign in.")
    if processes == 1:
        uvicorn.Server(_serving(settings, create_app(settings))).run(sockets=[listener])
        return
    from uvicorn.supervisors import Multiprocess

    # Each process reads its settings anew: what the command line said goes along to it.
    os.environ.update(settings.environment())
    config = _serving(settings, "app.cli:one_of_several", factory=True, workers=processes)
    Multiprocess(config, sockets=[listener]).run()


def _serving(
    settings: Settings, app: "FastAPI | str", *, factory: bool = False, workers: int = 1
) -> "uvicorn.Config":
    import uvicorn

    return uvicorn.Config(
        app,
        factory=factory,
        workers=workers,
        log_config=None,
        access_log=False,
        server_header=False,
        proxy_headers=False,
        ssl_certfile=settings.tls_cert if settings.encrypted else None,
        ssl_keyfile=settings.tls_key if settings.encrypted else None,
        timeout_graceful_shutdown=5,
    )


def one_of_several() -> "FastAPI":
    """The application as each of several server processes makes it."""
    from app.main import create_app
    from app.web import log_lines

    log_lines.start()
    return create_app(Settings())
