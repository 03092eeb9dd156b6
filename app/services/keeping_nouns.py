"""What the catalogue must know of saved comparisons and of the shortlist."""

from collections.abc import Sequence

from sqlmodel import Session
from typing_extensions import override

from app.comparison.board_query import read_view
from app.comparison.board_view import BoardView
from app.documents.keeping import SavedComparison, ShortlistLine
from app.documents.text import LONGEST_NAME
from app.errors import BadInput, Problem
from app.records import keeping as tables
from app.records.base import Named, Row
from app.records.database import WriteSession
from app.records.keeping_rows import (
    TARGETS,
    comparison_document,
    comparison_values,
    key_of,
    line_document,
    line_values,
    names_of,
    public_ids,
)
from app.records.listing import active_name_taken
from app.services.nouns import Noun, set_values

_MANY = {"packs": "pack", "engines": "engine", "verdicts": "verdict", "worst": "worst"}
_ASIDE = ("name", "notes")


def view_of(document: SavedComparison) -> BoardView:
    """The view of the board that a saved comparison asks for.

    Raises:
        BadInput: its order or its ids are none; the fields are the document's.
    """
    pairs: list[tuple[str, str]] = []
    for name, value in document.written().items():
        if name in _ASIDE:
            continue
        if name in _MANY:
            pairs += [(_MANY[name], one) for one in value]
        else:
            text = repr(value) if isinstance(value, float) else str(value)
            pairs.append((name, text))
    try:
        return read_view(pairs)
    except BadInput as refusal:
        names = {one: many for many, one in _MANY.items()}
        found = [Problem(names.get(p.field, p.field), p.message) for p in refusal.problems]
        raise BadInput(found) from refusal


def document_of(name: str, view: BoardView, notes: str | None = None) -> SavedComparison:
    """A view of the board under a name."""
    wear = "worn" if view.wear_mm is None else "new" if view.wear_mm == 0 else view.wear_mm
    return SavedComparison.model_validate(
        {
            "name": name,
            "packs": list(view.packs),
            "engines": list(view.engines),
            "lubrication": view.lubrication,
            "friction": view.friction,
            "wear": wear,
            "radius": view.radius,
            "speed_rpm": view.speed_rpm,
            "spline_friction": view.spline_friction,
            "q": view.q or None,
            "mounting": view.mounting,
            "verdicts": list(view.verdicts),
            "worst": list(view.worst),
            "order": None if view.order is None else view.order.text,
            "unit": view.unit,
            "heavy_above": view.heavy_above,
            "notes": notes,
        }
    )


class ComparisonNoun(Noun[SavedComparison]):
    """Saved comparisons."""

    kind = "comparison"
    table = tables.SavedComparison
    model = SavedComparison

    @override
    def documents(self, session: Session, rows: Sequence[Row]) -> list[SavedComparison]:
        return [comparison_document(row) for row in rows]

    @override
    def keep(self, session: WriteSession, row: Named, document: SavedComparison, by: str) -> None:
        view_of(document)
        problems = []
        for field, kind in (("packs", "pack"), ("engines", "engine")):
            ids = getattr(document, field)
            known = names_of(session, TARGETS[kind], ids)
            problems += [
                Problem(f"{field}.{i}", f"There is no {kind} {key}. Copy the id from its address.")
                for i, key in enumerate(ids)
                if key not in known
            ]
        if problems:
            raise BadInput(problems)
        set_values(row, comparison_values(document))
        session.add(row)
        session.flush()


class ShortlistNoun(Noun[ShortlistLine]):
    """Lines of what to order."""

    kind = "shortlist line"
    table = tables.ShortlistLine
    model = ShortlistLine

    @override
    def documents(self, session: Session, rows: Sequence[Row]) -> list[ShortlistLine]:
        ids = {
            kind: public_ids(session, table, {row[f"{kind}_id"] for row in rows} - {None})
            for kind, table in TARGETS.items()
        }
        return [line_document(row, ids) for row in rows]

    @override
    def named(
        self, session: Session, document: ShortlistLine, standing: ShortlistLine | None
    ) -> ShortlistLine:
        """Named by its pack and engine; a second of the kind gets a number."""
        if document.name is not None:
            return document
        same = standing is not None and (standing.pack, standing.engine) == (
            document.pack,
            document.engine,
        )
        if standing is not None and same:
            return document.model_copy(update={"name": standing.name})
        packs = names_of(session, TARGETS["pack"], [document.pack])
        engines = names_of(session, TARGETS["engine"], [document.engine or ""])
        stem = packs.get(document.pack, "pack")
        if engines:
            stem = f"{stem} for {engines[document.engine or '']}"
        stem, name, n = stem[: LONGEST_NAME - 6], stem[:LONGEST_NAME], 1
        while active_name_taken(session, self.table, name):
            n += 1
            name = f"{stem} ({n})"
        return document.model_copy(update={"name": name})

    @override
    def keep(self, session: WriteSession, row: Named, document: ShortlistLine, by: str) -> None:
        keys: dict[str, int | None] = {}
        problems = []
        for kind, table in TARGETS.items():
            key = getattr(document, kind)
            if key is None:
                continue
            keys[kind] = key_of(session, table, key)
            if keys[kind] is None:
                told = f"There is no {kind} with this id. Copy the id from its address."
                problems.append(Problem(kind, told))
        if problems:
            raise BadInput(problems)
        set_values(row, line_values(document, keys))
        session.add(row)
        session.flush()
