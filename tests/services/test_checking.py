import pytest
import sqlalchemy as sa

from app.documents import Checked
from app.errors import BadInput, StaleRecord
from app.records.database import read_session, writing
from app.services.catalogue import packs
from app.services.checking import check, last_figures_by, withdrawal_of
from tests.factories import make_pack

BEA = Checked(by="Bea", at="2026-11-25")


def test_a_check_is_noted_withdrawn_by_a_figure_and_found_again(database: sa.Engine) -> None:
    with writing(database) as session:
        made = packs.add(session, make_pack(), by="Ann")
        marked = check(session, packs, made.id, 1, BEA, by="Bea")
        assert marked.document.checked == BEA
        assert withdrawal_of(session, "pack", made.id) is None
        changed = make_pack(lift_mm=3, checked={"by": "Bea", "at": "2026-11-25"})
        packs.change(session, made.id, 2, changed, by="Cy")
    with read_session(database) as session:
        row = withdrawal_of(session, "pack", made.id)
        assert (row["by"], row["before"]["checked"]["by"]) == ("Cy", "Bea")
        assert last_figures_by(session, "pack", made.id) == "Cy"
    with writing(database) as session:
        check(session, packs, made.id, 3, BEA, by="Bea")
        assert withdrawal_of(session, "pack", made.id) is None


def test_one_s_own_figures_are_not_checked_and_a_stale_check_is_refused(
    database: sa.Engine,
) -> None:
    with writing(database) as session:
        made = packs.add(session, make_pack(), by="bea")
    with pytest.raises(BadInput), writing(database) as session:
        check(session, packs, made.id, 1, BEA, by="Bea")
    with pytest.raises(StaleRecord), writing(database) as session:
        check(session, packs, made.id, 9, Checked(by="Cy"), by="Cy")


def test_checks_and_notes_are_no_figures(database: sa.Engine) -> None:
    with writing(database) as session:
        made = packs.add(session, make_pack(), by="Ann")
        check(session, packs, made.id, 1, BEA, by="Bea")
        noted = make_pack(notes="x", checked={"by": "Bea", "at": "2026-11-25"})
        packs.change(session, made.id, 2, noted, by="Cy")
        assert last_figures_by(session, "pack", made.id) == "Ann"
        assert last_figures_by(session, "pack", "nothing") == ""
