"""Packs against displacement classes, as the catalogue stands."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal
from urllib.parse import urlencode

import numpy as np
from sqlmodel import Session

from app.comparison.board import PackEntry
from app.comparison.board_query import CELL_NAMES, read_view
from app.comparison.board_view import BoardView, number
from app.comparison.class_board import ClaimMade, ClassBoard, PackInClasses, class_board
from app.errors import BadInput, Problem
from app.records.base import folded
from app.records.source_queries import every_offer_row, offer_rows_of_packs
from app.services.class_settings import CLASSES_KEY, ClassSettings, class_settings, shown_bands
from app.services.standing import Standing, standing
from app.units import UnitError, parse

NAMES = (*CELL_NAMES, "q", "mounting", "pack", "order", "page", "per")
USUAL_KIND = "four_stroke"
FEW = 100
"""So many packs have their offers read by name; of more, every offer is read."""


@dataclass(frozen=True, slots=True)
class ClassView:
    """What is asked for.

    Attributes:
        view: the state, which packs, in which order, which page of them.
        kind: of engine.
        factor: service factor on every demand [1].
        claims: page of the sellers' claims, from 1.
        holds: the least class that a listed pack holds whole [cm³], None for any.
    """

    view: BoardView
    kind: str = USUAL_KIND
    factor: float = 1.0
    claims: int = 1
    holds: float | None = None

    @property
    def address(self) -> str:
        """The shortest address of this view."""
        pairs = self.view.pairs()
        if self.kind != USUAL_KIND:
            pairs.append(("kind", self.kind))
        if self.factor != 1.0:
            pairs.append(("factor", number(self.factor)))
        if self.claims != 1:
            pairs.append(("claims", str(self.claims)))
        if self.holds is not None:
            pairs.append(("holds", number(self.holds)))
        return "/classes" + (f"?{urlencode(pairs)}" if pairs else "")


def read_class_view(pairs: Iterable[tuple[str, str]]) -> ClassView:
    """The view that an address's query asks for.

    Raises:
        BadInput: with every refusal at once; a problem's field is the parameter's name.
    """
    own = {"kind": "", "factor": "", "claims": "", "holds": ""}
    rest = []
    for name, text in pairs:
        if name in own:
            own[name] = text.strip()
        else:
            rest.append((name, text))
    problems = []
    kind, factor = own["kind"] or USUAL_KIND, 1.0
    kinds = [band.kind for band in shown_bands()]
    if kind not in kinds:
        problems.append(Problem("kind", f"Choose one of {', '.join(kinds)}."))
    if own["factor"]:
        try:
            factor = parse(own["factor"], "ratio").value
        except UnitError as error:
            problems.append(Problem("factor", error.message))
        if factor <= 0.0:
            problems.append(Problem("factor", "Write a service factor above 0, like 1.3."))
    holds = None
    if own["holds"]:
        try:
            holds = parse(own["holds"], "number").value
            if holds <= 0.0:
                problems.append(Problem("holds", "Write a class above 0 cm³, like 250."))
        except UnitError as error:
            problems.append(Problem("holds", error.message))
    claims = own["claims"] or "1"
    if not (claims.isascii() and claims.isdigit() and int(claims[:9]) > 0 and len(claims) < 10):
        problems.append(Problem("claims", "Write a whole number from 1 for claims."))
        claims = "1"
    view = BoardView()
    try:
        view = read_view(rest, NAMES)
        if view.order is not None and view.order.by == "margin":
            told = "Write name or capacity for order; there is no engine here to have a margin."
            problems.append(Problem("order", told))
    except BadInput as refusal:
        problems += refusal.problems
    if problems:
        raise BadInput(problems)
    return ClassView(view, kind, factor, int(claims), holds)


def classes(session: Session, asked: ClassView) -> ClassBoard:
    """The packs asked for against the classes, in the order asked for; held until a change.

    Raises:
        BadInput: the view names a pack that is not in use.
    """
    now = standing(session)
    key = ("class board", replace(asked, view=replace(asked.view, page=None, unit="nm"), claims=1))
    held = now.pages.get(key)
    if not isinstance(held, ClassBoard):
        held = _classes(session, now, asked)
        now.pages.put(key, held)
    return held


def classes_of_pack(session: Session, public_id: str) -> PackInClasses:
    """One pack in the state, the kind of engine and with the factor that the page starts with.

    Raises:
        BadInput: the pack is not in use.
    """
    (found,) = classes(session, ClassView(BoardView(packs=(public_id,)))).packs
    return found


def _classes(session: Session, now: Standing, asked: ClassView) -> ClassBoard:
    packs = _chosen(now, asked.view)
    claims = _claims(session, packs)
    # A setting's change moves the catalogue's revision, and with it everything held here.
    own = now.pages.get(CLASSES_KEY)
    if not isinstance(own, ClassSettings):
        own = class_settings(session)
        now.pages.put(CLASSES_KEY, own)
    band = own.band(asked.kind)
    strokes: Literal[2, 4] = 2 if band.strokes == 2 else 4
    carried = now.carried(packs, asked.view.state) if packs else None
    mountings = now.mountings
    return class_board(packs, claims, asked.view.state, own.classes, band, strokes, asked.factor,
                       carried, [mountings[p.public_id] for p in packs])


def _claims(session: Session, packs: Sequence[PackEntry]) -> list[ClaimMade]:
    """What offers say of these packs, cheapest first within a currency."""
    if len(packs) <= FEW:
        rows = offer_rows_of_packs(session, [p.public_id for p in packs])
    else:
        asked = {p.public_id for p in packs}
        rows = [row for row in every_offer_row(session) if row["pack_public_id"] in asked]
    return [
        ClaimMade(row["pack_public_id"], row["name"], row["seller"] or "",
                  row["claimed_cc_low"], row["claimed_cc_high"], row["public_id"])
        for row in rows
        if row["claimed_cc_low"] is not None or row["claimed_cc_high"] is not None
        or row["claim"]
    ]


def _chosen(now: Standing, view: BoardView) -> list[PackEntry]:
    by_id, keys = now.pack_by_id, now.key_of
    unknown = [key for key in view.packs if key not in by_id]
    if unknown:
        raise BadInput([Problem("pack", f"There is no pack {unknown[0]}; it may be put aside.")])
    found = [by_id[key] for key in view.packs] if view.packs else list(now.packs)
    words = folded(view.q).split()
    if words:
        found = [p for p in found if all(word in keys[p.public_id] for word in words)]
    if view.mounting is not None:
        found = [p for p in found if now.mountings[p.public_id] == view.mounting]
    return _ordered(found, view, now)


def _ordered(found: list[PackEntry], view: BoardView, now: Standing) -> list[PackEntry]:
    """By name, which they stand in, or by capacity; what is not known comes last."""
    order = view.order
    if order is None or not found:
        return found
    if order.by == "name":
        return found[::-1] if order.falling else found
    carried = now.carried(found, view.state).value
    keys = -carried if order.falling else carried  # NaN sorts to the end either way
    return [found[i] for i in np.argsort(keys, kind="stable").tolist()]
