"""The shortlist with what its lines point at: names, prices, verdicts as the catalogue stands."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlmodel import Session

from app.comparison.board_view import BoardView
from app.comparison.failed_checks import FailedCheck, failed_checks
from app.comparison.verdict import VERDICTS, Verdict
from app.documents import Offer
from app.documents.keeping import ShortlistLine
from app.errors import NotFound
from app.records.database import WriteSession, raise_revision
from app.records.keeping_rows import TARGETS, names_of, open_line
from app.records.source_queries import every_offer_row, offer_rows_of_packs
from app.records.source_rows import offer_document
from app.services.catalogue import engines, offers, packs, shortlist
from app.services.readable import every
from app.services.standing import standing
from app.services.stored import Stored


@dataclass(frozen=True)
class Line:
    """One line of the shortlist.

    Attributes:
        stored: the record.
        pack: name of the pack; `engine` of the engine, "" for none.
        offer: the chosen offer, None for none.
        verdict: of the pack on the engine, None without an engine in use.
        ratio: of available to required torque [1], NaN where it is not known.
        failed: checks that outrank torque and that the pack fails on the engine.
    """

    stored: Stored[ShortlistLine]
    pack: str
    engine: str
    offer: Offer | None
    verdict: Verdict | None
    ratio: float | None
    failed: tuple[FailedCheck, ...] = ()


def shopping_list(session: Session) -> list[Line]:
    """Every line in use, those to be ordered first."""
    lines = every(session, shortlist)
    lines.sort(key=lambda stored: (stored.document.done, stored.created_at))
    asked = {
        kind: {getattr(s.document, kind) for s in lines if getattr(s.document, kind)}
        for kind in TARGETS
    }
    names = {kind: names_of(session, TARGETS[kind], asked[kind]) for kind in ("pack", "engine")}
    chosen = {s.id: s.document for s in offers.get_many(session, sorted(asked["offer"]))}
    return [
        Line(
            stored,
            names["pack"].get(stored.document.pack, stored.document.pack),
            names["engine"].get(stored.document.engine or "", ""),
            chosen.get(stored.document.offer or ""),
            *_verdict(session, stored.document.pack, stored.document.engine),
        )
        for stored in lines
    ]


def _verdict(
    session: Session, pack: str, engine: str | None
) -> tuple[Verdict | None, float | None, tuple[FailedCheck, ...]]:
    now, state = standing(session), BoardView().state
    if pack not in now.pack_by_id or engine not in now.engine_by_id:
        return None, None, ()
    ours, theirs = now.pack_by_id[pack], now.engine_by_id[engine]
    found = now.compared([ours], [theirs], state)
    failed = failed_checks([ours.inputs], [theirs.inputs], state, found.capacity)
    return VERDICTS[int(found.verdict[0, 0])], float(found.ratio[0, 0]), failed.get((0, 0), ())


def add_to_list(
    session: WriteSession, pack: str, engine: str | None, *, by: str
) -> tuple[Stored[ShortlistLine], bool]:
    """Put a pack on the list for an engine; the line, and whether it is new.

    A pack that is on it already for this engine, and not ordered yet, stays as it is. The only
    offer of the pack is chosen, if there is one.

    Raises:
        NotFound: the pack or the engine is not in use.
    """
    raise_revision(session)
    packs.get(session, pack)
    if engine is not None:
        engines.get(session, engine)
    row = open_line(session, pack, engine)
    if row is not None:
        return shortlist.get(session, row["public_id"]), False
    rows = offer_rows_of_packs(session, [pack])
    offer = rows[0]["public_id"] if len(rows) == 1 else None
    line = ShortlistLine(pack=pack, engine=engine, offer=offer)
    return shortlist.add(session, line, by=by), True


def offers_of(session: Session, pack: str) -> Sequence[tuple[str, Offer]]:
    """Offers in use of a pack, the cheapest first, by id."""
    rows = offer_rows_of_packs(session, [pack])
    return [(row["public_id"], offer_document(row, pack)) for row in rows]


def every_offer(session: Session) -> list[tuple[str, Offer]]:
    """Every offer in use by id, the cheapest first."""
    return [
        (row["public_id"], offer_document(row, row["pack_public_id"]))
        for row in every_offer_row(session)
    ]


def line_of(session: Session, key: str) -> Line:
    """One line.

    Raises:
        NotFound: there is none in use.
    """
    for line in shopping_list(session):
        if line.stored.id == key:
            return line
    raise NotFound("line of the shortlist", key)
