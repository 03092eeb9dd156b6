import re
from datetime import UTC, datetime
from typing import Any

import pytest
import sqlalchemy as sa

from app.documents import Offer
from app.records import database
from app.records.import_jobs import ImportJob
from app.services.catalogue import engines, offers, packs
from tests.factories import make_engine_document, make_pack, spring_group
from tests.web.routes.conftest import ENGINE, PACK, Shop
from tests.web.routes.sent_files import (
    HEAD,
    SCRIPT,
    as_csv,
    export,
    plain,
    revision,
    rows_of,
    taken,
)


@pytest.fixture
def full(shop: Shop) -> Shop:
    """A shop with every kind of clamp and torque, and texts that a spreadsheet would run."""
    points = [{"deflection_mm": 2.25, "force_n": 40.1}, {"deflection_mm": 1 / 3, "force_n": 0.1}]
    groups = [spring_group(load_points=points, name="=1+1"), spring_group(count=3)]
    clamps: list[Any] = [
        {"kind": "coil", "springs": groups},
        {"kind": "disc", "outside_mm": 80, "inside_mm": 40.1, "thickness_mm": 2},
        {"kind": "disc_table", "points": points, "installed_deflection_mm": 1.5},
        {"kind": "load", "force_n": {"value": 900.7, "how": "measured"}},
        {"kind": "centrifugal", "weights": 3, "ramp_angle_deg": 45},
        None,
    ]
    torques: list[Any] = [
        {"kind": "measured", "torque_nm": {"value": 0.1 + 0.2, "std": 0.01}},
        {"kind": "power", "power_kw": 5, "speed_rpm": 7500},
        {"kind": "bmep", "bmep_kpa": 900},
        {"kind": "curve", "points": [[3000, 10.1], [5000, -1e-7]], "relative_doubt": 0.03},
        None,
    ]
    notes = ["=cmd()", "+1", "-2", "@x", "a,b;c", 'say "x"\r\nnext', "'=1", SCRIPT]
    with database.writing(shop.client.app.state.engine) as session:
        made = [
            make_pack(f"Pack {i}", clamp=clamp, notes=notes[i]) for i, clamp in enumerate(clamps)
        ]
        ids = packs.add_many(session, made, by="Ann")
        engines.add_many(
            session,
            [
                make_engine_document(f"Engine {i}", torque=torque, notes=notes[i])
                for i, torque in enumerate(torques)
            ],
            by="Ann",
        )
        offers.add_many(
            session,
            [Offer(name=n, pack=ids[0], price=1 / 3, currency="EUR", notes=n) for n in notes],
            by="Ann",
        )
    return shop


@pytest.mark.parametrize("name", ["packs", "engines", "offers"])
@pytest.mark.parametrize("query", ["", "?variant=semicolon"])
def test_what_is_exported_comes_back_with_nothing_to_change(
    full: Shop, name: str, query: str
) -> None:
    before = full.stored(name)
    text = full.get(taken(full, export(full, name, query)))
    assert "Nothing to change." in text
    assert "<button" not in text.split('id="results"')[1].split("<footer")[0]
    assert full.stored(name) == before


@pytest.mark.parametrize("name", ["packs", "engines"])
def test_every_figure_comes_back_to_its_last_digit(full: Shop, name: str) -> None:
    rows = rows_of(export(full, name))
    for row in rows:
        row["id"] = row["version"] = ""
        row["name"] = f"{row['name']} again"
    full.client.post(f"{taken(full, as_csv(rows))}/save", data={"rows": "all"})
    by_name = {s.name: s.document for s in full.stored(name)}
    assert len(by_name) == 2 * len(rows)
    for row in rows:
        copied = by_name[row["name"]]
        own = by_name[row["name"].removesuffix(" again")]
        assert copied == own.model_copy(update={"name": copied.name})


def test_a_file_is_shown_before_anything_is_written(full: Shop) -> None:
    rows = rows_of(export(full, "packs"))
    rows[0]["friction_plates"] = "9"
    rows[1]["lift_mm"] = "much"
    rows[2]["id"] = rows[2]["version"] = ""
    rows[2]["name"] = "A new one"
    before = (full.stored("packs"), revision(full))
    path = taken(full, as_csv(rows))
    text = plain(full.get(path))
    assert "6 rows: 1 cannot be read, 1 new, 1 changed, 3 unchanged" in text
    assert "3 Pack 1 lift_mm much Write a number in figures 0 to 9, such as 0.12." in text
    changed = plain(full.get(f"{path}?show=changed"))
    assert "2 Pack 0 Friction plates 4 → becomes 9" in changed
    assert "A new one" in full.get(f"{path}?show=new")
    assert (full.stored("packs"), revision(full)) == before


def test_all_or_nothing_is_the_rule_and_the_good_rows_are_a_choice(full: Shop) -> None:
    rows = rows_of(export(full, "packs"))
    rows[0]["friction_plates"] = "9"
    rows[1]["lift_mm"] = "much"
    path = taken(full, as_csv(rows))
    before = full.stored("packs")
    page = full.get(path)
    assert "As a whole it cannot be imported" in page
    assert "Import only the 1 good row" in page
    answer = full.client.post(f"{path}/save", data={})
    assert answer.status_code == 303
    assert "1 row cannot be read" in full.get(path)
    assert full.stored("packs") == before
    full.client.post(f"{path}/save", data={"rows": "good"})
    text = plain(full.get(path))
    assert "1 row imported." in text
    assert "Download those rows" in text
    assert {s.name: s.document.friction_plates for s in full.stored("packs")}["Pack 0"] == 9


def test_the_file_of_problems_is_put_right_and_imports_only_those_rows(full: Shop) -> None:
    rows = rows_of(export(full, "packs"))
    rows[0]["friction_plates"] = "9"
    rows[1]["lift_mm"] = "much"
    path = taken(full, as_csv(rows))
    full.client.post(f"{path}/save", data={"rows": "good"})
    answer = full.client.get(f"{path}/problems.csv")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    (bad,) = rows_of(answer.content)
    assert list(bad)[:3] == ["id", "version", "name"]
    assert list(bad)[-2:] == ["problem", "how_to_fix"]
    assert (bad["name"], bad["lift_mm"], bad["problem"]) == ("Pack 1", "much", "lift_mm: much")
    assert "number" in bad["how_to_fix"]
    bad["lift_mm"] = "1.75"
    again = taken(full, as_csv([bad]))
    assert "1 row: 0 cannot be read, 0 new, 1 changed, 0 unchanged" in plain(full.get(again))
    full.client.post(f"{again}/save", data={"rows": "all"})
    by_name = {s.name: s for s in full.stored("packs")}
    assert by_name["Pack 1"].document.lift_mm.value == 1.75
    assert by_name["Pack 0"].version == 2


def test_an_import_is_one_batch_and_undone_by_one_press(full: Shop) -> None:
    rows = rows_of(export(full, "engines"))
    rows[0]["cylinders"] = "2"
    rows[1]["id"] = rows[1]["version"] = ""
    rows[1]["name"] = "Fresh"
    before = {s.name: s.document for s in full.stored("engines")}
    path = taken(full, as_csv(rows))
    full.client.post(f"{path}/save", data={"rows": "all"})
    assert len(full.stored("engines")) == len(before) + 1
    (undo,) = re.findall(r'action="(/history/imports/\w+/undo)"', full.get(path))
    batch = full.get(undo.removesuffix("/undo"))
    assert "1 engine added" in batch
    assert "1 engine changed" in batch
    assert "import of engines" in batch
    assert full.client.post(undo).status_code == 303
    assert {s.name: s.document for s in full.stored("engines")} == before
    assert "taken back as a whole" in full.get(path)


def test_pressing_twice_imports_once(shop: Shop) -> None:
    path = taken(shop, f"{HEAD},,New,4,1.5,0.1\r\n")
    for _ in range(2):
        assert shop.client.post(f"{path}/save", data={"rows": "all"}).status_code == 303
    assert [s.version for s in shop.stored("packs")] == [1]


def test_the_same_new_rows_again_change_nothing(shop: Shop) -> None:
    data = f"{HEAD},,New,4,1.5,0.1\r\n"
    shop.client.post(f"{taken(shop, data)}/save", data={"rows": "all"})
    assert "Nothing to change." in shop.get(taken(shop, data))
    other = plain(shop.get(taken(shop, f"{HEAD},,New,5,1.5,0.1\r\n")))
    assert "There is a pack of this name with other figures" in other


def test_a_catalogue_that_changed_since_the_preview_stops_it_whole(full: Shop) -> None:
    rows = rows_of(export(full, "packs"))
    rows[0]["friction_plates"], rows[1]["friction_plates"] = "9", "9"
    path = taken(full, as_csv(rows))
    full.save(f"/packs/{rows[1]['id']}/edit", {"friction_plates": "7"})
    full.client.post(f"{path}/save", data={"rows": "all"})
    text = full.get(path)
    assert "Nothing was imported." in text
    assert {s.document.friction_plates for s in full.stored("packs")} == {4, 7}
    assert full.client.post(f"{path}/check").status_code == 303
    text = plain(full.get(path))
    assert "The record is at version 2 now" in text


def test_a_semicolon_file_with_decimal_commas_is_recognised_and_said(shop: Shop) -> None:
    path = taken(shop, "id;version;name;lift_mm;friction_plates\r\n;;A;1,5;4\r\n")
    assert "semicolon between the cells, decimal commas" in shop.get(path)
    shop.client.post(f"{path}/save", data={"rows": "all"})
    (stored,) = shop.stored("packs")
    assert stored.document.lift_mm.value == 1.5


def test_a_column_that_is_missing_leaves_its_figure_and_a_blank_cell_takes_it_out(
    shop: Shop,
) -> None:
    key = shop.save("/packs/new", PACK | {"lift_mm": "1.2", "lift_mm__doubt": "0.1"})
    key = key.removeprefix("/packs/")
    head = "id,version,name,clamp.springs.0.count,lift_mm\r\n"
    path = taken(shop, f"{head}{key},1,Six springs,8,\r\n")
    shop.client.post(f"{path}/save", data={"rows": "all"})
    (stored,) = shop.stored("packs")
    group = stored.document.clamp.springs[0]
    assert (group.count, group.free_length_mm.typed) == (8, "1 1/2 in")
    assert stored.document.lift_mm is None
    assert stored.document.facing_od_mm.value == 115


def test_a_new_value_drops_the_doubt_and_the_origin_of_the_old_one(shop: Shop) -> None:
    key = shop.save("/packs/new", PACK).removeprefix("/packs/")
    head = "id,version,name,facing_id_mm\r\n"
    path = taken(shop, f"{head}{key},1,Six springs,95\r\n")
    shop.client.post(f"{path}/save", data={"rows": "all"})
    figure = shop.stored("packs")[0].document.facing_id_mm
    assert (figure.value, figure.typed, figure.plus_minus, figure.by) == (95, None, None, None)


def test_a_checked_record_loses_its_check_by_an_imported_figure(shop: Shop) -> None:
    pack = shop.save("/packs/new", PACK)
    shop.save(f"{pack}/checked", {"checked_by": "Bea", "checked_at": "2026-11-25"})
    rows = rows_of(export(shop, "packs"))
    rows[0]["friction_plates"] = "7"
    path = taken(shop, as_csv(rows))
    assert "Figures checked by Bea · 2026-11-25 → becomes nothing" in plain(shop.get(path))
    shop.client.post(f"{path}/save", data={"rows": "all"})
    assert "Check withdrawn." in shop.get(pack)


def test_a_long_file_shows_its_progress_and_then_its_preview(shop: Shop) -> None:
    lines = "".join(f",,Pack {i},4,1.5,0.1\r\n" for i in range(401))
    path = taken(shop, HEAD + lines)
    text = plain(shop.get(path))
    assert "401 rows: 0 cannot be read, 401 new, 0 changed, 0 unchanged" in text
    assert "Rows 1–50 of 401" in text
    assert "Pack 400" in shop.get(f"{path}?show=new&page=9")
    shop.client.post(f"{path}/save", data={"rows": "all"})
    assert "401 rows imported." in plain(shop.get(path))


def test_a_job_under_way_polls_and_one_that_stopped_can_be_taken_up(shop: Shop) -> None:
    path = taken(shop, f"{HEAD},,A,4,,\r\n")
    engine = shop.client.app.state.engine
    with engine.begin() as connection:
        connection.execute(sa.update(ImportJob).values(stage="checking", done=0))
    text = shop.get(path)
    assert 'hx-trigger="every 1s"' in text
    assert "Look again" in text
    assert "<progress" in text
    assert shop.client.post(f"{path}/check").status_code == 303
    assert "<progress" in shop.get(path)
    with engine.begin() as connection:
        old = datetime(2020, 1, 1, tzinfo=UTC)
        connection.execute(sa.update(ImportJob).values(beat=old))
    assert "stopped half-way" in shop.get(path)
    shop.client.post(f"{path}/check")
    assert "1 row: 0 cannot be read, 1 new" in plain(shop.get(path))


def test_the_empty_tables_and_what_is_not_there(shop: Shop) -> None:
    for name in ("packs", "engines", "offers"):
        answer = shop.client.get(f"/import/template/{name}.csv")
        text = answer.content.decode("utf-8-sig")
        assert text.startswith('"id","version","name"')
        assert text.count("\r\n") == 1
        assert f'filename="gripledger-empty-{name}-' in answer.headers["content-disposition"]
        assert f'href="/import/template/{name}.csv"' in shop.get("/import")
    shop.get("/import/template/wheels.csv", 404)
    shop.get("/import/nothing", 404)
    assert "Import" in shop.get("/packs")
    shop.save("/engines/new", ENGINE)
