"""The tables have a column for every figure that the documents can hold."""

from typing import Any, get_args

from app.documents import Centrifugal, Disc, DiscTable, Load, Pack, Q, SpringGroup
from app.records.packs import CLAMP_COLUMNS, CLAMP_FIGURES, PACK_FIGURES, SPRING_FIGURES
from app.records.tables import METADATA


def figures(model: Any) -> set[str]:
    """The fields of a document that hold a figure."""
    found = set()
    for name, part in model.model_fields.items():
        kinds = {part.annotation, *get_args(part.annotation)}
        kinds |= {get_args(kind)[0] for kind in kinds if get_args(kind)}
        if Q in kinds:
            found.add(name)
    return found


def test_every_figure_of_a_pack_has_its_columns() -> None:
    assert set(PACK_FIGURES) == figures(Pack)


def test_every_figure_of_each_clamp_has_its_columns() -> None:
    for kind, model in (
        ("load", Load),
        ("disc", Disc),
        ("disc_table", DiscTable),
        ("centrifugal", Centrifugal),
    ):
        assert set(CLAMP_FIGURES[kind]) == figures(model), kind


def test_every_figure_of_a_spring_has_its_columns() -> None:
    assert set(SPRING_FIGURES) == figures(SpringGroup)


def test_a_figure_is_four_columns() -> None:
    columns = set(METADATA.tables["pack"].c.keys())
    for x in {**PACK_FIGURES, **CLAMP_COLUMNS}:
        assert {x, f"{x}_plus_minus", f"{x}_std", f"{x}_how"} <= columns
