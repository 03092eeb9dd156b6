"""What a process holds ready of the catalogue is never older than the last save of any other."""

import subprocess
import sys

import sqlalchemy as sa

from app.comparison.board_view import BoardView
from app.mechanics.inputs import State
from app.records.database import make_engine, read_session, writing
from app.services import comparing
from app.services.catalogue import engines, packs
from app.services.standing import standing
from tests.factories import make_engine_document, make_pack

EDIT = """
import sys
from app.records.database import make_engine, read_session, writing
from app.services.catalogue import packs
from app.services.standing import standing
engine = make_engine(sys.argv[1])
with read_session(engine) as session:
    print(*(pack.name for pack in standing(session).packs), sep=",")
    (stored,) = packs.page(session).records
with writing(engine) as session:
    changed = stored.document.model_copy(update={"name": sys.argv[2], "friction_plates": 8})
    packs.change(session, stored.id, stored.version, changed, by="another process")
with read_session(engine) as session:
    print(*(pack.name for pack in standing(session).packs), sep=",")
engine.dispose()
"""


def edited_elsewhere(database: sa.Engine, name: str) -> list[str]:
    url = database.url.render_as_string(hide_password=False)
    done = subprocess.run([sys.executable, "-c", EDIT, url, name], check=True,
                          capture_output=True, text=True)
    return done.stdout.split()


def test_an_edit_in_one_process_is_read_in_another(database: sa.Engine) -> None:
    with writing(database) as session:
        packs.add(session, make_pack("First"), by="a")
        engines.add(session, make_engine_document(), by="a")

    def shown() -> tuple[str, float, int]:
        with read_session(database) as session:
            found = comparing.board(session, BoardView())
            now = standing(session)
            whole = now.compared(now.packs, now.engines, State())
        assert found.cells.figures.ratio[0, 0] == whole.ratio[0, 0]
        return found.packs[0].name, float(whole.ratio[0, 0]), found.revision

    first = shown()
    assert first[0] == "First"
    assert edited_elsewhere(database, "Second") == ["First", "Second"]
    second = shown()
    assert (second[0], second[1]) == ("Second", 2.0 * first[1])
    assert second[2] > first[2]
    with writing(database) as session:
        (stored,) = packs.page(session).records
        third = stored.document.model_copy(update={"name": "Third"})
        packs.change(session, stored.id, stored.version, third, by="a")
    assert edited_elsewhere(database, "Fourth") == ["Third", "Fourth"]
    assert shown()[0] == "Fourth"


def test_an_application_s_engine_holds_one_catalogue_and_another_s_its_own(
    sqlite_url: str, postgresql_url: str
) -> None:
    first, second = make_engine(sqlite_url), make_engine(postgresql_url)
    with writing(first) as session:
        packs.add(session, make_pack("Here"), by="a")
    for engine, names in ((first, ["Here"]), (second, [])):
        with read_session(engine) as session:
            assert [pack.name for pack in standing(session).packs] == names
        engine.dispose()
