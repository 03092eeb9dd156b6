"""The team's own classes and bands before those shipped."""

from collections.abc import Iterator
from typing import Any

import pytest
import sqlalchemy as sa

from app.errors import BadInput, StaleRecord
from app.mechanics.class_table import displacement_classes
from app.mechanics.tables import bmep_band
from app.records.database import catalogue_revision, make_engine, read_session, writing
from app.services.class_settings import (
    CLASSES_KEY,
    OWN,
    ClassSettings,
    class_settings,
    set_class_settings,
    shown_bands,
)
from app.services.team_settings import held

ROWS = [(125.0, 3.0, 4.1), (90.0, 3.2, 3.9)]


@pytest.fixture
def engine(sqlite_url: str) -> Iterator[sa.Engine]:
    made = make_engine(sqlite_url)
    yield made
    made.dispose()


def bands(**changed: tuple[float, float]) -> dict[str, tuple[float, float]]:
    return {b.kind: (b.low_kpa, b.high_kpa) for b in shown_bands()} | changed


def shipped() -> list[tuple[float, float, float]]:
    return [(c.displacement_cc, c.ratio_low, c.ratio_high) for c in displacement_classes()]


def keep(engine: sa.Engine, rows: Any, own: Any, version: int = 0) -> None:
    with writing(engine) as session:
        set_class_settings(session, rows, own, version=version, by="Ann")


def now(engine: sa.Engine) -> ClassSettings:
    with read_session(engine) as session:
        return class_settings(session)


def test_unless_the_team_has_its_own_the_shipped_ones_are_in_force(engine: sa.Engine) -> None:
    found = now(engine)
    assert found.classes == displacement_classes()
    assert found.band("two_stroke") == bmep_band("two_stroke")
    assert {band.ignition for band in found.bands} == {"spark"}
    assert found.version == 0


def test_own_classes_are_kept_smallest_first_and_say_whose_they_are(engine: sa.Engine) -> None:
    keep(engine, ROWS, bands(two_stroke=(500.0, 900.0)))
    found = now(engine)
    assert [c.displacement_cc for c in found.classes] == [90.0, 125.0]
    assert {c.source for c in found.classes} == {OWN}
    assert (found.band("two_stroke").low_kpa, found.band("two_stroke").source) == (500.0, OWN)
    assert found.band("four_stroke") == bmep_band("four_stroke")
    assert found.version == 1


def test_what_is_as_shipped_is_not_kept_as_the_team_s_own(engine: sa.Engine) -> None:
    keep(engine, ROWS, bands(two_stroke=(500.0, 900.0)))
    keep(engine, shipped(), bands(), version=1)
    with read_session(engine) as session:
        assert held(session, CLASSES_KEY).value == {}
    assert now(engine).classes == displacement_classes()


def test_a_change_moves_the_catalogue_and_a_stale_one_is_refused(engine: sa.Engine) -> None:
    with read_session(engine) as session:
        before = catalogue_revision(session)
    keep(engine, ROWS, bands())
    with read_session(engine) as session:
        assert catalogue_revision(session) > before
    with pytest.raises(StaleRecord):
        keep(engine, shipped(), bands())


@pytest.mark.parametrize(("rows", "own", "fields"), [
    ([], bands(), ["classes.0.cc"]),
    ([(0.0, 1.0, 2.0)], bands(), ["classes.0.cc"]),
    ([(50.0, 1.0, 2.0), (50.0, 2.0, 1.0)], bands(), ["classes.1.cc", "classes.1.high"]),
    ([(50.0, 0.0, 2.0)], bands(), ["classes.0.high"]),
    (ROWS, bands(two_stroke=(900.0, 500.0)), ["bands.two_stroke.high"]),
    (ROWS, bands(steam=(1.0, 2.0)), ["bands.steam.low"]),
    ([(float(n), 1.0, 2.0) for n in range(1, 50)], bands(), ["classes.40.cc"]),
])
def test_what_cannot_be_is_refused_at_its_place(
    engine: sa.Engine, rows: Any, own: Any, fields: list[str]
) -> None:
    with pytest.raises(BadInput) as refused:
        keep(engine, rows, own)
    assert [p.field for p in refused.value.problems] == fields
    assert now(engine).version == 0
