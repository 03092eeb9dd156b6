"""The verdicts that one record takes part in, to tell what a change of it turned."""

from collections.abc import Sequence
from typing import NamedTuple

from sqlmodel import Session

from app.comparison.board import EngineEntry, PackEntry
from app.comparison.board_view import BoardView
from app.comparison.run import Comparison, compare
from app.comparison.verdict import VERDICTS, Verdict
from app.mechanics.inputs import EngineInputs, PackInputs
from app.services.board_inputs import engines_of, packs_of
from app.services.standing import Standing, standing


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
    return _named(others, now.compared(packs, engines, BoardView().states[0]))


def inputs_unsaved(session: Session, noun: str, key: str) -> PackInputs | EngineInputs:
    """A pack or an engine as this session has it, though nothing is committed."""
    read = packs_of if noun == "pack" else engines_of
    return read(session, (key,))[0].inputs


def verdicts_with(inputs: PackInputs | EngineInputs, now: Standing) -> dict[str, OwnVerdict]:
    """What `own_verdicts` would say of a record with these inputs, all else as it is."""
    state = BoardView().states[0]
    if isinstance(inputs, PackInputs):
        return _named(now.engines, compare([inputs], [e.inputs for e in now.engines], state))
    return _named(now.packs, compare([p.inputs for p in now.packs], [inputs], state))


def _named(
    others: Sequence[PackEntry | EngineEntry], figures: Comparison
) -> dict[str, OwnVerdict]:
    codes = figures.verdict.ravel().tolist()
    return {
        other.public_id: OwnVerdict(other.name, VERDICTS[code])
        for other, code in zip(others, codes, strict=True)
    }
