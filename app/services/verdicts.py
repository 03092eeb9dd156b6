"""Verdicts kept as they were shown when somebody exported or printed them, and what differs since.

A board is kept with its inputs as documents, the friction that was used, its state and limits, and
every figure; so it can be shown again when the records, the limits or the model have changed.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import parse_qsl

from sqlalchemy.engine import Engine
from sqlmodel import Session

from app.comparison.board import Board, Cells, EngineEntry, PackEntry
from app.comparison.board_query import read_view
from app.comparison.board_view import BoardView
from app.comparison.model import MODEL_VERSION
from app.comparison.verdict import VERDICTS
from app.errors import BadInput, NotFound
from app.records import verdict_queries as queries
from app.records.base import Row
from app.services import comparing
from app.services.catalogue import Catalogue, engines, packs
from app.services.standing import standing
from app.services.stored import Stored

MOST_CELLS = 5000
"""Of a larger board only the records' versions are kept, not every figure."""

FIGURES = ("verdict", "ratio", "low", "high", "p_slip")
"""What is kept of each cell, in this order; None for what is not known."""


@dataclass(frozen=True)
class Shown:
    """What is to be kept: everything that it takes from the database, ready to be written."""

    kind: str
    title: str
    query: str
    revision: int
    content: Mapping[str, Any]
    documents: Mapping[str, Mapping[str, Any]]

    @property
    def large(self) -> bool:
        """Whether it is too large for every figure to be kept."""
        return self.content["cells"] is None

    def keep(
        self, engine: Engine, way: str, *, by: str, version: str, key: str | None = None
    ) -> str:
        """Write it; its id, which a caller may have chosen."""
        return queries.add_verdict(
            engine,
            by=by,
            kind=self.kind,
            way=way,
            title=self.title,
            query=self.query,
            revision=self.revision,
            content={**self.content, "app": version},
            documents=self.documents,
            key=key,
        )


def shown_board(session: Session, view: BoardView) -> Shown:
    """A board as it is shown, all of its packs and engines.

    Raises:
        BadInput: the view names a record that is not in use.
    """
    board = comparing.whole_board(session, view)
    title = f"{_count(len(board.packs), 'pack')} × {_count(len(board.engines), 'engine')}"
    if len(board.packs) * len(board.engines) > MOST_CELLS:
        return _shown("board", title, board, {}, None)
    cells = comparing.cells_of(board, 0, len(board.packs))
    documents = _documents(session, board)
    return _shown("board", title, board, documents, cells)


def _count(number: int, thing: str) -> str:
    """How many things.

    >>> _count(1, "engine"), _count(3, "pack")
    ('1 engine', '3 packs')
    """
    return f"{number} {thing}" + ("" if number == 1 else "s")


def shown_cell(session: Session, pack: str, engine: str, view: BoardView) -> Shown:
    """One pack against one engine, as it is shown.

    Raises:
        NotFound: the pack or the engine is not in use.
    """
    now = standing(session)
    if pack not in now.pack_by_id:
        raise NotFound("pack", pack)
    if engine not in now.engine_by_id:
        raise NotFound("engine", engine)
    one = view.but(packs=(pack,), engines=(engine,), q="", mounting=None, verdicts=(), order=None)
    board = comparing.whole_board(session, one.but(page=None, chart=None))
    cells = comparing.cells_of(board, 0, 1)
    title = f"{board.packs[0].name} on {board.engines[0].name}"
    return _shown("cell", title, board, _documents(session, board), cells)


def _documents(session: Session, board: Board) -> dict[str, dict[str, Any]]:
    found = packs.get_many(session, [p.public_id for p in board.packs])
    found_engines = engines.get_many(session, [e.public_id for e in board.engines])
    return {s.id: s.document.written() for s in found} | {
        s.id: s.document.written() for s in found_engines
    }


def _shown(
    kind: str,
    title: str,
    board: Board,
    documents: Mapping[str, dict[str, Any]],
    cells: Cells | None,
) -> Shown:
    digests = {key: queries.digest(document) for key, document in documents.items()}
    content = {
        "model": MODEL_VERSION,
        "heavy_above": board.heavy_above,
        "packs": [_entry(p, digests) for p in board.packs],
        "engines": [_entry(e, digests) for e in board.engines],
        "friction": None if cells is None else [_friction(used) for used in cells.friction],
        "cells": None if cells is None else _figures(cells),
        "failed": None if cells is None else _failed(cells),
    }
    by_digest = {digests[key]: document for key, document in documents.items()}
    query = board.view.address("").removeprefix("?")
    return Shown(kind, title, query, board.revision, content, by_digest)


def _entry(entry: PackEntry | EngineEntry, digests: Mapping[str, str]) -> dict[str, Any]:
    found = {"id": entry.public_id, "version": entry.version, "name": entry.name}
    if entry.checked:
        found["checked"] = entry.checked
    if entry.public_id in digests:
        found["digest"] = digests[entry.public_id]
    return found


def _friction(used: Any) -> dict[str, Any] | None:
    quantity = used.quantity
    if quantity is None:
        return None
    return {
        "value": quantity.value,
        "u": quantity.standard_uncertainty,
        "how": quantity.how,
        "source": used.source,
    }


def _figures(cells: Cells) -> list[list[list[Any]]]:
    """Every cell's figures, pack by pack."""
    f = cells.figures
    arrays = [f.ratio, f.low, f.high, f.p_slip]
    rows = []
    for i in range(f.verdict.shape[0]):
        row = []
        for j in range(f.verdict.shape[1]):
            figures = [float(a[i, j]) for a in arrays]
            row.append([VERDICTS[int(f.verdict[i, j])], *(_known(x) for x in figures)])
        rows.append(row)
    return rows


def _failed(cells: Cells) -> list[list[list[str]]]:
    """Names of the checks that every cell fails, pack by pack."""
    packs_shown, engines_shown = cells.figures.verdict.shape
    return [
        [list(cells.failed.get((i, j), ())) for j in range(engines_shown)]
        for i in range(packs_shown)
    ]


def _known(figure: float) -> float | None:
    return figure if figure == figure and abs(figure) != float("inf") else None


@dataclass(frozen=True)
class RecordThen:
    """A record of a kept verdict: as it was, and as it is.

    Attributes:
        now: as it is, None where it is not in use any more.
        was: its document then, None where only the version was kept.
    """

    kind: str
    id: str
    name: str
    version: int
    checked: str
    was: dict[str, Any] | None
    now: Stored[Any] | None

    @property
    def changed(self) -> bool:
        """Whether it says something else today."""
        if self.now is None:
            return True
        if self.was is None:
            return self.now.version != self.version
        return bool(self.now.document.written() != self.was)


@dataclass(frozen=True)
class KeptVerdict:
    """A verdict as it was shown, with what there is today.

    Attributes:
        today: the same cells worked out today, None where a record is gone or none were kept.
        heavy_above: the limit of today.
    """

    row: Row
    view: BoardView
    packs: tuple[RecordThen, ...]
    engines: tuple[RecordThen, ...]
    today: Sequence[Sequence[Sequence[Any]]] | None
    heavy_above: float

    @property
    def content(self) -> Mapping[str, Any]:
        """All that was kept."""
        content: Mapping[str, Any] = self.row["content"]
        return content


def kept_verdict(session: Session, key: str) -> KeptVerdict:
    """A kept verdict with what differs today.

    Raises:
        NotFound: there is none with this id.
    """
    row = queries.verdict_row(session, key)
    if row is None:
        raise NotFound("kept verdict", key)
    content = row["content"]
    digests = [e["digest"] for e in (*content["packs"], *content["engines"]) if "digest" in e]
    documents = queries.kept_documents(session, digests)
    then_packs = _then(session, packs, content["packs"], documents)
    then_engines = _then(session, engines, content["engines"], documents)
    view = read_view(parse_qsl(row["query"]))
    return KeptVerdict(
        row=row,
        view=view,
        packs=then_packs,
        engines=then_engines,
        today=_today(session, view, content),
        heavy_above=standing(session).heavy_above,
    )


def _then(
    session: Session,
    catalogue: Catalogue[Any],
    entries: Sequence[Mapping[str, Any]],
    documents: Mapping[str, dict[str, Any]],
) -> tuple[RecordThen, ...]:
    now = {s.id: s for s in catalogue.get_many(session, [e["id"] for e in entries])}
    return tuple(
        RecordThen(
            kind=catalogue.noun.kind,
            id=e["id"],
            name=e["name"],
            version=e["version"],
            checked=e.get("checked", ""),
            was=documents.get(e.get("digest", "")),
            now=now.get(e["id"]),
        )
        for e in entries
    )


def _today(
    session: Session, view: BoardView, content: Mapping[str, Any]
) -> Sequence[Sequence[Sequence[Any]]] | None:
    """The kept cells as they come out today, in the order that they were kept in."""
    if content["cells"] is None:
        return None
    now = standing(session)
    pack_ids = tuple(e["id"] for e in content["packs"])
    engine_ids = tuple(e["id"] for e in content["engines"])
    if not set(pack_ids) <= set(now.pack_by_id) or not set(engine_ids) <= set(now.engine_by_id):
        return None
    asked = view.but(
        packs=pack_ids, engines=engine_ids, q="", mounting=None, verdicts=(), order=None, page=None
    )
    try:
        board = comparing.whole_board(session, asked.but(chart=None))
    except BadInput:
        return None
    rows = dict(
        zip(
            (p.public_id for p in board.packs),
            _figures(comparing.cells_of(board, 0, len(board.packs))),
            strict=True,
        )
    )
    columns = {e.public_id: j for j, e in enumerate(board.engines)}
    return [[rows[p][columns[e]] for e in engine_ids] for p in pack_ids]
