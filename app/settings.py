"""What the program is told from outside: the environment, read when a caller asks for it."""

import ipaddress
import os
from pathlib import Path

from pydantic import Field, field_validator
from pydantic_settings import BaseSettings, SettingsConfigDict
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError

import app

PROJECT_ROOT = Path(app.__file__).resolve().parent.parent
"""The folder that holds app, templates, static, migrations and seed_data."""


LOOPBACK_NAMES = frozenset({"127.0.0.1", "localhost", "[::1]"})
"""Names under which this computer reaches itself, as a Host header has them."""


EVERY_ADDRESS = frozenset({"0.0.0.0", "[::]"})  # noqa: S104  # to be told from a name
"""To listen on these is to listen on every address of this computer; they are no name."""


def is_loopback(host: str) -> bool:
    """Whether an address is this computer's own and no other's.

    >>> is_loopback("127.0.0.1"), is_loopback("::1"), is_loopback("0.0.0.0")
    (True, True, False)
    """
    # The pages answer to these names only (the guard against names pointed at us).
    return as_host(host) in LOOPBACK_NAMES


def as_host(name: str) -> str:
    """A name or an address as a Host header has it, without a port.

    >>> as_host("Shop.Lan"), as_host("::1"), as_host("[::1]")
    ('shop.lan', '[::1]', '[::1]')
    """
    plain = name.strip().lower().strip("[]")
    try:
        address = ipaddress.ip_address(plain)
    except ValueError:
        return plain
    return f"[{address}]" if address.version == 6 else str(address)


def default_data_dir() -> Path:
    """The user's own data folder for this program, as the system's convention has it."""
    if os.name == "nt":
        base = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
        return Path(base) / "gripledger"
    base = os.environ.get("XDG_DATA_HOME") or str(Path.home() / ".local" / "share")
    return Path(base) / "gripledger"


class Settings(BaseSettings):
    """Every setting, each read from GRIPLEDGER_ and its name in capitals."""

    model_config = SettingsConfigDict(env_prefix="GRIPLEDGER_", extra="ignore")

    data_dir: Path = Field(
        default_factory=default_data_dir,
        description="Folder for the database, its backups and stored files; on a local disk.",
    )
    database_url: str = Field(
        default="",
        description="Database address, such as postgresql://user@host/name. "
        "Empty: a SQLite file in the data folder.",
    )
    host: str = Field(default="127.0.0.1", description="Address that the server listens on.")
    port: int = Field(default=8000, ge=0, le=65535, description="Port that the server listens on.")
    allowed_hosts: str = Field(
        default="",
        description="Names under which others reach the server, with commas between; besides the "
        "address that it listens on and this computer's own names.",
    )
    tls_cert: Path | None = Field(
        default=None, description="Certificate of the server, with its chain (PEM)."
    )
    tls_key: Path | None = Field(default=None, description="Private key of the certificate (PEM).")
    insecure_lan: bool = Field(
        default=False,
        description="Answer other computers without encryption; every page says so.",
    )
    body_limit_bytes: int = Field(
        default=2 * 1024 * 1024, ge=1024, description="Largest request body accepted, in bytes."
    )
    busy_timeout_ms: int = Field(
        default=5000,
        ge=0,
        description="How long a save waits for another to finish, in milliseconds (SQLite).",
    )
    pool_size: int = Field(
        default=5, ge=1, description="Connections kept open to a PostgreSQL database."
    )
    daily_backup: bool = Field(
        default=True, description="Make a checked copy of the database every day."
    )
    backup_at: str = Field(
        default="03:00",
        pattern=r"^([01][0-9]|2[0-3]):[0-5][0-9]$",
        description="Time of day from which the day's copy is due, in the computer's own time.",
    )
    made_up: bool = Field(
        default=False,
        description="Say on every page that the records are a made-up shop's; `demo` sets it.",
    )
    production: bool = Field(
        default=False,
        description="Close the interface's documentation pages and keep debug pages shut.",
    )

    @field_validator("database_url")
    @classmethod
    def _known_database(cls, text: str) -> str:
        if not text:
            return text
        try:
            kind = make_url(text).get_backend_name()
        except ArgumentError as error:
            raise ValueError(
                "write an address like postgresql://user@host/name or sqlite:///file.db"
            ) from error
        if kind not in ("sqlite", "postgresql"):
            raise ValueError("the database must be SQLite or PostgreSQL")
        return text

    @property
    def host_names(self) -> frozenset[str]:
        """Every name that the server answers to, as a Host header has them."""
        own = {as_host(name) for name in self.allowed_hosts.split(",") if name.strip()}
        return LOOPBACK_NAMES | own | ({as_host(self.host)} - EVERY_ADDRESS)

    @property
    def require_sign_in(self) -> bool:
        """Whether others can reach the server, so that everybody has to say who they are.

        A name beyond loopback counts as well: it says that something passes requests on.
        """
        return not is_loopback(self.host) or self.host_names > LOOPBACK_NAMES

    @property
    def encrypted(self) -> bool:
        """Whether the server itself speaks TLS."""
        return self.tls_cert is not None and self.tls_key is not None

    @property
    def url(self) -> URL:
        """The database's address with the driver named; SQLite in the data folder unless set."""
        if not self.database_url:
            return URL.create("sqlite", database=str(self.data_dir / "gripledger.db"))
        url = make_url(self.database_url)
        if url.get_backend_name() == "postgresql":
            return url.set(drivername="postgresql+psycopg")
        return url

    @property
    def backup_dir(self) -> Path:
        """Where checked copies of the database are kept."""
        return self.data_dir / "backups"

    def environment(self) -> dict[str, str]:
        """These settings as environment variables, for a process that reads them anew."""
        return {
            f"GRIPLEDGER_{name.upper()}": str(value)
            for name, value in self.model_dump().items()
            if value is not None
        }
