"""The made-up shop as entries of a board, without a database."""

import json
from functools import cache

from app.comparison.board import Board, EngineEntry, PackEntry
from app.comparison.board_view import BoardView, Order
from app.comparison.worst import cells_in
from app.documents import Engine, Pack
from app.settings import PROJECT_ROOT

DEMO = PROJECT_ROOT / "seed_data" / "demo"


@cache
def shop_documents() -> tuple[tuple[Pack, ...], tuple[Engine, ...]]:
    packs = json.loads((DEMO / "packs.json").read_text(encoding="utf-8"))
    engines = json.loads((DEMO / "engines.json").read_text(encoding="utf-8"))
    return (
        tuple(Pack.model_validate(p) for p in packs),
        tuple(Engine.model_validate(e) for e in engines),
    )


@cache
def shop() -> tuple[tuple[PackEntry, ...], tuple[EngineEntry, ...]]:
    packs, engines = shop_documents()
    return (
        tuple(PackEntry(f"p{i}", i + 1, p.name, p.to_inputs()) for i, p in enumerate(packs)),
        tuple(EngineEntry(f"e{i}", i + 1, e.name, e.to_inputs()) for i, e in enumerate(engines)),
    )


def shop_board(
    view: BoardView | None = None, engines: int | None = None, found: int | None = None
) -> Board:
    """The board of the whole shop, or of its first engines."""
    view = view or BoardView()
    packs, all_engines = shop()
    shown = all_engines[:engines]
    return Board(
        view=view,
        order=view.order or Order(),
        heavy_above=view.heavy_above or 3.0,
        revision=1,
        packs=packs,
        engines=shown,
        cells=cells_in([p.inputs for p in packs], [e.inputs for e in shown], view.states),
        found=found or len(packs),
        all_packs=len(packs),
        all_engines=all_engines,
        first=0,
        engines_found=len(all_engines),
    )
