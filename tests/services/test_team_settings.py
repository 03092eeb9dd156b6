import pytest
import sqlalchemy as sa

from app.errors import BadInput, StaleRecord
from app.fields import DefaultDoubt
from app.records.database import read_session, writing
from app.services.catalogue import packs
from app.services.team_settings import (
    DOUBTS_KEY,
    LIMITS_KEY,
    doubt_overrides,
    held,
    limits,
    set_doubt_overrides,
    set_limits,
)
from tests.factories import make_pack

OWN = DefaultDoubt("length", "measured", 0.2, None, "old calliper")


def test_shipped_values_hold_until_the_team_sets_its_own(database: sa.Engine) -> None:
    with read_session(database) as session:
        assert doubt_overrides(session) == {}
        assert limits(session) == {"heavy": 3.0}
    with writing(database) as session:
        set_doubt_overrides(session, [OWN], version=0, by="ann")
        set_limits(session, {"heavy": 2.5}, version=0, by="ann")
    with read_session(database) as session:
        assert doubt_overrides(session) == {("length", "measured"): OWN}
        assert limits(session) == {"heavy": 2.5}
        assert held(session, LIMITS_KEY).version == 1


def test_a_record_saved_later_gets_the_team_s_own_doubts(database: sa.Engine) -> None:
    with writing(database) as session:
        set_doubt_overrides(session, [OWN], version=0, by="ann")
        kept = packs.add(session, make_pack(), by="ann")
    assert kept.document.facing_od_mm is not None
    assert kept.document.facing_od_mm.plus_minus == 0.2


def test_a_setting_changed_by_another_meanwhile_is_not_overwritten(database: sa.Engine) -> None:
    with writing(database) as session:
        set_limits(session, {"heavy": 2.5}, version=0, by="ann")
    with writing(database) as session, pytest.raises(StaleRecord) as caught:
        set_limits(session, {"heavy": 4}, version=0, by="bo")
    assert caught.value.current == {"value": {"heavy": 2.5}, "version": 1}
    with writing(database) as session:
        set_limits(session, {"heavy": 4}, version=1, by="bo")
        assert held(session, LIMITS_KEY).version == 2


@pytest.mark.parametrize(
    ("row", "at"),
    [
        (DefaultDoubt("smell", "measured", 0.1, None, ""), "kind"),
        (DefaultDoubt("length", "guessed", 0.1, None, ""), "how"),
        (DefaultDoubt("length", "measured", -0.1, None, ""), "absolute"),
        (DefaultDoubt("length", "measured", float("nan"), None, ""), "absolute"),
        (DefaultDoubt("length", "measured", None, 1.0, ""), "relative"),
    ],
)
def test_a_row_that_makes_no_sense_is_refused_at_its_place(
    database: sa.Engine, row: DefaultDoubt, at: str
) -> None:
    with writing(database) as session, pytest.raises(BadInput) as caught:
        set_doubt_overrides(session, [OWN, row], version=0, by="ann")
    assert [problem.field for problem in caught.value.problems] == [f"{DOUBTS_KEY}.1.{at}"]


@pytest.mark.parametrize("values", [{"heavy": 1}, {"heavy": float("inf")}, {"light": 2}])
def test_a_limit_that_makes_no_sense_is_refused(
    database: sa.Engine, values: dict[str, float]
) -> None:
    with writing(database) as session, pytest.raises(BadInput):
        set_limits(session, values, version=0, by="ann")
