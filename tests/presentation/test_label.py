import re
from datetime import UTC, datetime

import pytest
import segno

from app.documents import Pack
from app.presentation.label import QUIET, code_of, label_of

NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
ADDRESS = "https://bench.lan:8000/packs/abcdefghij"


def test_the_drawing_has_the_dark_modules_of_the_code_and_no_other() -> None:
    code = code_of(ADDRESS)
    wanted = segno.make_qr(ADDRESS, error="m").matrix
    drawn = [[0] * code.side for _ in range(code.side)]
    for x, y, length, back in re.findall(r"M(\d+) (\d+)h(\d+)v1H(\d+)z", code.path):
        assert back == x
        for place in range(int(x), int(x) + int(length)):
            drawn[int(y)][place] += 1
    assert len(wanted) + 2 * QUIET == code.side
    inside = [row[QUIET:-QUIET] for row in drawn[QUIET:-QUIET]]
    assert inside == [list(row) for row in wanted]
    assert sum(map(sum, drawn)) == sum(map(sum, wanted))


def test_it_tells_what_can_be_seen_of_the_pack_and_leaves_out_what_is_not_known() -> None:
    pack = Pack.model_validate({
        "name": "Reed 8", "friction_plates": 8, "facing": "moulded", "mounting": "geared",
        "facing_od_mm": 140, "facing_id_mm": 112, "clamp": {"kind": "coil"}})
    label = label_of("abcdefghij", pack, ADDRESS, NOW)
    assert label.lines == (
        "8 friction plates", "Facing 140 / 112\N{NO-BREAK SPACE}mm, moulded", "Coil springs",
        "Geared, behind the primary gear")
    assert label.printed == "2026-11-25"
    bare = label_of("abcdefghij", Pack.model_validate({"name": "Box"}), ADDRESS, NOW)
    assert bare.lines == ()


@pytest.mark.parametrize(("address", "only_here"), [
    ("http://127.0.0.1:8000/packs/a", True),
    ("http://localhost:8000/packs/a", True),
    ("http://[::1]:8000/packs/a", True),
    ("https://bench.lan/packs/a", False),
    ("http://192.168.1.5:8000/packs/a", False),
])
def test_an_address_that_no_phone_reaches_is_told(address: str, only_here: bool) -> None:
    assert label_of("a", Pack.model_validate({"name": "Box"}), address, NOW).only_here is only_here
