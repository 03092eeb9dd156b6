"""Packs against displacement classes, as the catalogue stands."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal
from urllib.parse import urlencode

from sqlmodel import Session

from app.comparison.board import PackEntry
from app.comparison.board_query import CELL_NAMES, read_view
from app.comparison.board_view import BoardView, number
from app.comparison.class_board import ClaimMade, ClassBoard, class_board
from app.errors import BadInput, Problem
from app.records.base import folded
from app.records.source_queries import offer_rows_of_packs
from app.services.class_settings import CLASSES_KEY, ClassSettings, class_settings, shown_bands
from app.services.standing import standing
from app.units import UnitError, parse

NAMES = (*CELL_NAMES, "q", "mounting", "pack", "kind", "factor")
USUAL_KIND = "four_stroke"


@dataclass(frozen=True, slots=True)
class ClassView:
    """What is asked for: the state and packs, the kind of engine, the service factor [1]."""

    view: BoardView
    kind: str = USUAL_KIND
    factor: float = 1.0

    @property
    def address(self) -> str:
        """The shortest address of this view."""
        pairs = self.view.pairs()
        if self.kind != USUAL_KIND:
            pairs.append(("kind", self.kind))
        if self.factor != 1.0:
            pairs.append(("factor", number(self.factor)))
        return "/classes" + (f"?{urlencode(pairs)}" if pairs else "")


def read_class_view(pairs: Iterable[tuple[str, str]]) -> ClassView:
    """The view that an address's query asks for.

    Raises:
        BadInput: with every refusal at once; a problem's field is the parameter's name.
    """
    own = {"kind": "", "factor": ""}
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
    view = BoardView()
    try:
        view = read_view(rest, NAMES)
    except BadInput as refusal:
        problems += refusal.problems
    if problems:
        raise BadInput(problems)
    return ClassView(view, kind, factor)


def classes(session: Session, asked: ClassView) -> ClassBoard:
    """The packs asked for against the classes.

    Raises:
        BadInput: the view names a pack that is not in use.
    """
    now = standing(session)
    packs = _chosen(now.packs, now.pack_by_id, now.key_of, asked.view)
    rows = offer_rows_of_packs(session, [p.public_id for p in packs])
    claims = [
        ClaimMade(row["pack_public_id"], row["name"], row["seller"] or "",
                  row["claimed_cc_low"], row["claimed_cc_high"])
        for row in rows
        if row["claimed_cc_low"] is not None or row["claimed_cc_high"] is not None
        or row["claim"]
    ]
    # A setting's change moves the catalogue's revision, and with it everything held here.
    own = now.pages.get(CLASSES_KEY)
    if not isinstance(own, ClassSettings):
        own = class_settings(session)
        now.pages.put(CLASSES_KEY, own)
    band = own.band(asked.kind)
    strokes: Literal[2, 4] = 2 if band.strokes == 2 else 4
    return class_board(packs, claims, asked.view.state, own.classes, band, strokes,
                       asked.factor, now.carried(packs, asked.view.state) if packs else None)


def _chosen(
    packs: tuple[PackEntry, ...], by_id: dict[str, PackEntry], keys: dict[str, str],
    view: BoardView,
) -> list[PackEntry]:
    unknown = [key for key in view.packs if key not in by_id]
    if unknown:
        raise BadInput([Problem("pack", f"There is no pack {unknown[0]}; it may be put aside.")])
    found = [by_id[key] for key in view.packs] if view.packs else list(packs)
    words = folded(view.q).split()
    return [
        p for p in found
        if all(word in keys[p.public_id] for word in words)
        and (view.mounting is None or p.inputs.mounting == view.mounting)
    ]
