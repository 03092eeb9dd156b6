"""How long to wait after failed tries to sign in: for one account, and from one address.

Five failures are free, as people mistype. From then on each failure doubles the wait, from one
second to a quarter of an hour, and no further: nobody is locked out for good. The counts are in
the database, so a restart or a second server forgets none. A try is counted as failed before the
password is looked at, and taken back when it was right, so that many at once get no more than one.
"""

import hashlib
import ipaddress
import math
from collections.abc import Sequence
from datetime import datetime, timedelta

import sqlalchemy as sa
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.engine import Engine

from app.records.base import table_of
from app.records.database import writing_apart
from app.records.members import FailedTries, name_key

FREE = 5
LONGEST_S = 15 * 60
FORGOTTEN = timedelta(hours=24)
"""A count is dropped when nothing failed for this long."""

_TRIES: sa.Table = table_of(FailedTries)


def account_key(name: str) -> str:
    """Key of an account by its typed name; a digest, since a password may be typed there."""
    return "account " + hashlib.sha256(name_key(name).encode()).hexdigest()


def address_key(address: str) -> str:
    """Key of an address; of IPv6 the network of one connection counts, 64 bits.

    >>> address_key("192.0.2.7"), address_key("2001:db8:0:1::7")
    ('address 192.0.2.7', 'address 2001:db8:0:1::/64')
    """
    try:
        found = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return f"address {address[:100]}"
    if found.version == 4:
        return f"address {found}"
    mapped = getattr(found, "ipv4_mapped", None)
    return f"address {mapped or ipaddress.ip_network((found, 64), strict=False)}"


def wait_s(failures: int) -> int:
    """Seconds to wait after so many failures in a row.

    >>> [wait_s(n) for n in (4, 5, 6, 7, 14, 15, 500)]
    [0, 1, 2, 4, 512, 900, 900]
    """
    return 0 if failures < FREE else min(1 << min(failures - FREE, 20), LONGEST_S)


def take_turn(engine: Engine, keys: Sequence[str], at: datetime) -> int:
    """Count a try under every key, or give the seconds to wait before the next may be made.

    A try that has to wait is not counted.
    """
    with writing_apart(engine) as connection:
        connection.execute(sa.delete(_TRIES).where(_TRIES.c.last_at < at - FORGOTTEN))
        # In order, so that two tries wait for one another and never cross.
        for key in sorted(keys):
            _insert(connection, key, at)
        chosen = sa.select(_TRIES).where(_TRIES.c.key.in_(keys)).order_by(_TRIES.c.key)
        rows = connection.execute(chosen.with_for_update()).mappings().all()
        waits = [_left(row["count"], row["last_at"], at) for row in rows]
        if max(waits) > 0:
            return max(waits)
        counted = sa.update(_TRIES).where(_TRIES.c.key.in_(keys))
        connection.execute(counted.values(count=_TRIES.c.count + 1, last_at=at))
        return 0


def take_back(engine: Engine, account: str | None, address: str) -> None:
    """The try was right: the account begins anew, and the address loses this one.

    An address keeps its other failures: somebody's own account must not wipe out what was tried
    from there on other people's.
    """
    with writing_apart(engine) as connection:
        if account is not None:
            connection.execute(sa.delete(_TRIES).where(_TRIES.c.key == account))
        less = sa.update(_TRIES).where(_TRIES.c.key == address, _TRIES.c.count > 0)
        connection.execute(less.values(count=_TRIES.c.count - 1))


def _left(failures: int, last_at: datetime, at: datetime) -> int:
    passed = (at - last_at).total_seconds()
    return max(0, min(math.ceil(wait_s(failures) - passed), LONGEST_S))


def _insert(connection: sa.Connection, key: str, at: datetime) -> None:
    row = {"key": key, "count": 0, "last_at": at}
    make = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    connection.execute(make(_TRIES).values(row).on_conflict_do_nothing())
