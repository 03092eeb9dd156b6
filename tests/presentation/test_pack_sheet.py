import pytest

from app.documents import Pack
from app.presentation.pack_sheet import facing_word, pack_sheet
from tests.factories import make_pack, spring_group


def lines_of(pack: Pack, heading: str) -> dict[str, str]:
    (found,) = [p for p in pack_sheet(pack) if p.heading == heading]
    return {line.label: line.text.replace("\u00a0", " ") for line in found.lines}


def test_the_sheet_follows_the_work_at_the_bench() -> None:
    headings = [part.heading for part in pack_sheet(make_pack())]
    assert headings == ["Plates", "Facing", "Springs", "Release and wear", "Fit"]


def test_groups_of_springs_are_told_apart() -> None:
    springs = [spring_group(name="outer"), spring_group(count=3)]
    pack = make_pack(clamp={"kind": "coil", "springs": springs})
    headings = [part.heading for part in pack_sheet(pack)]
    assert headings[2:4] == ["Springs, group 1: outer", "Springs, group 2"]


def test_readings_and_the_tester_are_shown() -> None:
    points = [{"deflection_mm": 5, "force_n": 90}, {"deflection_mm": 10, "force_n": 181}]
    group = spring_group(load_points=points, tester_limit=0.02, wire_material="music wire")
    lines = lines_of(make_pack(clamp={"kind": "coil", "springs": [group]}), "Springs")
    assert lines["Load points"] == "90 N at 5 mm; 181 N at 10 mm"
    assert lines["Limit of error of the spring tester"] == "2 %"
    assert (lines["Ends"], lines["Wire"]) == ("Closed and ground", "music wire")


@pytest.mark.parametrize(
    ("clamp", "label", "text"),
    [
        ({"kind": "load", "force_n": 900}, "Clamp load", "900 N"),
        ({"kind": "disc", "outside_mm": 90}, "Disc outside diameter", "90 mm"),
        ({"kind": "centrifugal", "weights": 6}, "Weights", "6"),
        (
            {"kind": "disc_table", "points": [{"deflection_mm": 1, "force_n": 9}]},
            "Load points",
            "9 N at 1 mm",
        ),
    ],
)
def test_every_kind_of_clamp_has_its_lines(clamp: dict[str, object], label: str, text: str) -> None:
    assert lines_of(make_pack(clamp=clamp), "Clamp")[label] == text


def test_an_unknown_clamp_and_another_count_of_faces_are_said() -> None:
    pack = make_pack(clamp=None, surfaces=7, surfaces_reason="one bare face")
    parts = {part.heading: part for part in pack_sheet(pack)}
    assert parts["Clamp"].unknown == "What presses the plates together"
    lines = lines_of(pack, "Plates")
    assert (lines["Working faces"], lines["Why the count of faces is another"]) == (
        "7",
        "one bare face",
    )


def test_the_packs_own_friction_stands_with_its_facing() -> None:
    pack = make_pack(facing="moulded_grooved")
    assert lines_of(pack, "Facing")["Facing material"] == "moulded grooved"
    assert lines_of(pack, "Facing")["Friction coefficient, oiled, sliding"] == "0.11 ± 0.01"
    assert facing_word("cork") == "cork"


def test_lengths_of_every_spring_come_with_mean_and_spread() -> None:
    group = spring_group(free_lengths_mm=[31.0, 31.4], positions=8)
    lines = lines_of(make_pack(clamp={"kind": "coil", "springs": [group]}), "Springs")
    # (31.4 − 31.0)/31.2 = 1.28 %
    assert lines["Free length of each spring"] == "31, 31.4 mm; mean 31.20 mm, spread 1.3 % of it"
    assert lines["Places for springs"] == "8"
