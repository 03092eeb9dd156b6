import pytest

from app.presentation.change_words import (
    NONE,
    Difference,
    Referred,
    differences,
    field_label,
    referred_ids,
)
from tests.factories import make_engine_document, make_pack, spring_group


def lines(noun: str, before: dict | None, after: dict | None) -> dict[str, tuple[str, str]]:
    return {d.label: (d.before, d.after) for d in differences(noun, before, after)}


def test_a_figure_is_told_with_its_unit_its_doubt_and_where_it_is_from() -> None:
    before = make_pack().written()
    od = {"value": 111.5, "plus_minus": 0.1, "how": "listed", "with_what": "page 3"}
    after = make_pack(facing_od_mm=od).written()
    found = lines("pack", before, after)
    assert list(found) == ["Facing outside diameter"]
    assert found["Facing outside diameter"] == (
        "110\u00a0mm · Measured · Ann · 2026-11-20",
        "111.5 ± 0.1\u00a0mm · Listed · page 3",
    )


def test_springs_come_and_go_by_group() -> None:
    two = {"kind": "coil", "springs": [spring_group(), spring_group(count=3)]}
    found = lines("pack", make_pack().written(), make_pack(clamp=two).written())
    assert found["Springs in the group, spring group 2"] == (NONE, "3")
    assert "Springs in the group" not in found


def test_words_of_the_trade_stand_for_keys() -> None:
    load = {"kind": "load", "force_n": 900}
    found = lines("pack", make_pack().written(), make_pack(clamp=load, mounting=None).written())
    assert found["Clamp"] == ("Coil springs", "Clamp load, measured")
    assert found["Mounting, on the crankshaft or geared"][1] == NONE
    assert found["Clamp load"] == (NONE, "900\u00a0N")


def test_lists_of_points_are_one_field() -> None:
    curve = {"kind": "curve", "points": [[3000, 10.5], [5000, 12]]}
    found = lines("engine", None, make_engine_document(torque=curve).written())
    assert found["Torque curve"] == (NONE, "3000 10.5; 5000 12")
    assert found["Primary teeth, driving and driven"] == (NONE, "19; 64")


def test_readings_are_told_in_words() -> None:
    readings = [
        {"torque_nm": 26.0, "typed": "26 N·m", "as_read": False},
        {"at_least_nm": 135.0, "as_read": True},
    ]
    found = lines("slip test", None, {"readings": readings})
    assert list(found.values()) == [(NONE, "26\u00a0N·m; at least 135\u00a0N·m (read so)")]


def test_lists_of_anything_are_told() -> None:
    found = lines("pack", None, {"other": [{"a": True, "b": 1, "c": None}, [False, 2.5, "left"]]})
    assert list(found.values()) == [(NONE, "yes 1; no 2.5 left")]


def test_a_difference_finer_than_a_page_shows_is_written_out() -> None:
    found = lines("pack", {"name": "A", "lift_mm": 1.2}, {"name": "A", "lift_mm": 1.2000000001})
    assert list(found.values()) == [("1.2", "1.2000000001")]


def test_what_is_the_same_is_left_out_and_settings_are_told() -> None:
    written = make_pack().written()
    assert differences("pack", written, written) == ()
    found = lines("setting", {"value": "Ann"}, {"value": "Bo"})
    assert found == {"Value": ("Ann", "Bo")}
    found = lines("setting", None, {"value": {"heavy": 4.0}})
    assert list(found.values()) == [(NONE, "4")]


@pytest.mark.parametrize(
    ("noun", "path", "label"),
    [
        ("pack", "lift_mm", "Release travel of the pressure plate"),
        ("pack", "friction.oiled.sliding", "Friction coefficient, oiled, sliding"),
        ("offer", "claimed_cc_low", "Claimed from"),
        ("facing", "values.0.nominal", "Nominal"),
        ("slip test", "springs_fitted", "Springs fitted"),
        ("pack", "checked", "Figures checked by"),
    ],
)
def test_each_field_has_the_name_that_a_builder_gives_it(noun: str, path: str, label: str) -> None:
    assert field_label(noun, path) == label


def test_a_check_is_told_as_name_and_day() -> None:
    found = lines("pack", {"checked": {"by": "Bea", "at": "2026-11-25"}}, {})
    assert found == {"Figures checked by": ("Bea · 2026-11-25", NONE)}


NAMES = {
    ("pack", "p1"): Referred("Six", "/packs/p1"),
    ("pack", "p2"): Referred("Seven"),
    ("engine", "p1"): Referred("Fen 110", "/engines/p1"),
}


def test_a_record_that_is_named_stands_by_its_name_and_leads_to_its_page() -> None:
    found = differences("offer", {"pack": None}, {"pack": "p1"}, NAMES)
    assert found == (Difference("Pack", NONE, "Six", "", "/packs/p1"),)
    found = differences("spring set", {"pack": "p2"}, {"pack": "gone"}, NAMES)
    assert found == (Difference("Pack", "Seven", "gone"),)


def test_several_records_stand_by_their_names() -> None:
    was = {"packs": ["p1"], "order": "name"}
    became = {"packs": ["p1", "p2"], "order": "-margin:p1"}
    packs, order = differences("comparison", was, became, NAMES)
    assert packs == Difference("Packs", "Six", "Six; Seven", "/packs/p1", "")
    assert (order.before, order.after) == ("name", "margin on Fen 110, the other way round")


def test_only_fields_that_hold_ids_are_looked_up() -> None:
    written = [{"pack": "a", "engine": "b", "name": "pack", "order": "margin:c"}, None, {"pack": 1}]
    assert referred_ids(written) == {"pack": {"a"}, "engine": {"b", "c"}}
