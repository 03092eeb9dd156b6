"""The verdicts that one record takes part in, to tell what a change of it turned."""

from collections.abc import Sequence
from typing import NamedTuple

from sqlmodel import Session

from app.comparison.board import EngineEntry, PackEntry
from app.comparison.board_view import BoardView
from app.comparison.verdict import VERDICTS, Verdict
from app.services.standing import standing


class OwnVerdict(NamedTuple):
    """One verdict of a record: the other side's name, and how it comes out."""

    other: str
    verdict: Verdict


def own_verdicts(session: Session, noun: str, key: str) -> dict[str, OwnVerdict]:
    """Verdicts of a pack with every engine, or of an engine with every pack, by the other's id.

    In the state that the board begins with. Nothing for other kinds, and for a record that is not
    in use. One row or one column of a board is worked out, from sides that are held already.
    """
    if noun not in ("pack", "engine"):
        return {}
    now = standing(session)
    packs, engines = now.packs, now.engines
    others: Sequence[PackEntry | EngineEntry] = engines if noun == "pack" else packs
    if noun == "pack":
        packs = tuple(pack for pack in packs if pack.public_id == key)
    else:
        engines = tuple(engine for engine in engines if engine.public_id == key)
    if not packs or not engines:
        return {}
    codes = now.compared(packs, engines, BoardView().states[0]).verdict.ravel().tolist()
    return {
        other.public_id: OwnVerdict(other.name, VERDICTS[code])
        for other, code in zip(others, codes, strict=True)
    }
