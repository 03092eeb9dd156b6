"""A file's lines as runs, by the names of packs and instruments in use."""

import pytest
import sqlalchemy as sa

from app.documents import Instrument
from app.errors import BadInput
from app.records.database import writing
from app.services.catalogue import instruments, packs
from app.web.slip_import import LIMITS, sent_runs
from tests.factories import make_pack

HEAD = "id,version,pack_name,instrument,lubrication,friction,readings_N_m\n"


def test_lines_are_read_with_their_row_and_record(database: sa.Engine) -> None:
    with writing(database) as session:
        pack = packs.add(session, make_pack(), by="a")
        gauge = instruments.add(session, Instrument(name="G"), by="a")
        gone = packs.add(session, make_pack("Gone"), by="a")
        packs.put_aside(session, gone.id, 1, by="a")
        text = (HEAD + f",,Tern 4,{gauge.id},dry,static,5\nabc,3,Tern 4,,dry,static,6\n"
                ",x,Tern 4,,dry,static,6\n,,Gone,,dry,static,6\n")
        one, two, three, four = sent_runs(session, text.encode())
    assert (one.row, one.id, one.version) == (2, "", None)
    assert one.document is not None
    assert (one.document.pack, one.document.instrument) == (pack.id, gauge.id)
    assert (two.row, two.id, two.version) == (3, "abc", 3)
    assert "whole number" in three.problems[0].message
    assert four.document is None
    assert "no pack “Gone” in use" in four.problems[0].message


@pytest.mark.parametrize(
    "data", [b"colour\nred\n", HEAD.encode(), b"\xff\xfe", b"x" * (LIMITS.bytes + 1)]
)
def test_a_file_that_is_none_is_refused_whole(database: sa.Engine, data: bytes) -> None:
    with writing(database) as session, pytest.raises(BadInput):
        sent_runs(session, data)
