"""Every select on facings and offers: session in, rows out."""

from collections.abc import Collection, Sequence

import sqlalchemy as sa
from sqlalchemy.orm import selectinload
from sqlmodel import Session, select

from app.records.base import Named, Row
from app.records.bookkeeping import Setting, Submission
from app.records.listing import columns
from app.records.packs import Pack
from app.records.sources import Facing, Offer

_FACING = columns(Facing)
_PACK = columns(Pack)
_OFFER = columns(Offer)


def active_facings(session: Session) -> list[Row]:
    """Key and name of every facing in use, by name."""
    query = sa.select(_FACING.c.id, _FACING.c.public_id, _FACING.c.name)
    query = query.where(_FACING.c.put_aside_at.is_(None)).order_by(_FACING.c.name_key)
    return list(session.connection().execute(query).mappings())


def facing_object(session: Session, public_id: str) -> Facing | None:
    """The facing to be changed, with its friction values, as the database has it now."""
    query = (
        select(Facing)
        .where(Facing.public_id == public_id)
        .options(
            selectinload(Facing.values)  # type: ignore[arg-type]  # SQLModel types a relationship as its value
        )
        .execution_options(populate_existing=True)
    )
    return session.exec(query).first()


def plain_object(session: Session, table: type[Named], public_id: str) -> Named | None:
    """A record without rows of its own, to be changed, as the database has it now."""
    query = select(table).where(table.public_id == public_id)
    return session.exec(query.execution_options(populate_existing=True)).first()


def packs_with_facing(session: Session, facing_id: int) -> list[str]:
    """Names of the packs in use that name this facing, the first twenty."""
    query = sa.select(_PACK.c.name).where(
        _PACK.c.facing_id == facing_id, _PACK.c.put_aside_at.is_(None)
    )
    return list(session.connection().execute(query.order_by(_PACK.c.name_key).limit(20)).scalars())


def pack_public_ids(session: Session, ids: Collection[int]) -> dict[int | None, str]:
    """Public ids of packs by key."""
    if not ids:
        return {}
    query = sa.select(_PACK.c.id, _PACK.c.public_id).where(_PACK.c.id.in_(list(ids)))
    return {row.id: row.public_id for row in session.connection().execute(query)}


def pack_key(session: Session, public_id: str) -> int | None:
    """Key of a pack by its public id, in use or put aside."""
    query = sa.select(_PACK.c.id).where(_PACK.c.public_id == public_id)
    return session.connection().execute(query).scalar_one_or_none()


def pack_keys(session: Session, public_ids: Collection[str]) -> dict[str, int]:
    """Keys of packs by public id, in use or put aside; those not there are left out."""
    query = sa.select(_PACK.c.public_id, _PACK.c.id).where(_PACK.c.public_id.in_(list(public_ids)))
    return {row.public_id: int(row.id) for row in session.connection().execute(query)}


def offer_rows_of_packs(session: Session, pack_ids: Sequence[str]) -> list[Row]:
    """Offers in use of these packs, with the pack's public id, the cheapest first."""
    query = (
        sa.select(_OFFER, _PACK.c.public_id.label("pack_public_id"))
        .join(_PACK, _OFFER.c.pack_id == _PACK.c.id)
        .where(_PACK.c.public_id.in_(list(pack_ids)), _OFFER.c.put_aside_at.is_(None))
        .order_by(_OFFER.c.price.is_(None), _OFFER.c.price, _OFFER.c.id)
    )
    return list(session.connection().execute(query).mappings())


def every_offer_row(session: Session) -> list[Row]:
    """Every offer in use, with the public id of its pack, None for none; the cheapest first."""
    query = (
        sa.select(_OFFER, _PACK.c.public_id.label("pack_public_id"))
        .select_from(_OFFER.outerjoin(_PACK, _OFFER.c.pack_id == _PACK.c.id))
        .where(_OFFER.c.put_aside_at.is_(None))
        .order_by(_OFFER.c.price.is_(None), _OFFER.c.price, _OFFER.c.id)
    )
    return list(session.connection().execute(query).mappings())


def priced_offers(session: Session) -> list[Row]:
    """Price, currency, seller, name and id of every offer of a pack in use, the cheapest first."""
    query = (
        sa.select(
            _OFFER.c.public_id,
            _OFFER.c.name,
            _OFFER.c.seller,
            _OFFER.c.price,
            _OFFER.c.currency,
            _PACK.c.public_id.label("pack_public_id"),
        )
        .join(_PACK, _OFFER.c.pack_id == _PACK.c.id)
        .where(
            _OFFER.c.price.is_not(None),
            _OFFER.c.put_aside_at.is_(None),
            _PACK.c.put_aside_at.is_(None),
        )
        .order_by(_OFFER.c.price, _OFFER.c.id)
    )
    return list(session.connection().execute(query).mappings())


def submission(session: Session, token: str) -> Submission | None:
    """The record that this form made before, if it was sent before."""
    return session.get(Submission, token)


def setting(session: Session, key: str) -> Setting | None:
    """One of the team's settings, as the database has it now."""
    return session.get(Setting, key, populate_existing=True)
