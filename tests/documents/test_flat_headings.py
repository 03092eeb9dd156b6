import pytest

from app.documents import Engine, Offer, Pack
from app.documents.flat_headings import known_share, read_headings
from app.errors import BadInput

FIRST = ["id", "version", "name"]


def refused(*headings: str) -> dict[str, str]:
    with pytest.raises(BadInput) as fact:
        read_headings(Pack, headings)
    return {problem.field: problem.message for problem in fact.value.problems}


def test_known_headings_are_columns_in_the_file_s_order() -> None:
    found = read_headings(Pack, [*FIRST, "lift_mm", "friction_plates", "problem", "how_to_fix"])
    assert [c.name for c in found.columns] == ["name", "lift_mm", "friction_plates"]


def test_what_is_missing_is_named() -> None:
    assert set(refused("lift_mm")) == {"id", "version", "name"}
    assert "to which “lift_mm_how” belongs" in refused(*FIRST, "lift_mm_how")["lift_mm"]


@pytest.mark.parametrize(
    ("heading", "words"),
    [
        ("facing_od_in", "does not say mm. This column is facing_od_mm, in mm"),
        ("lift", "This column is lift_mm"),
        ("clamp.force_kn", "This column is clamp.force_n, in N"),
        ("clamp.springs.0.rate_lbf_per_in", "clamp.springs.0.rate_n_per_mm, in N/mm"),
        ("facing_od_m_plus_minus", "This column is facing_od_mm_plus_minus, in mm"),
        ("frikton_plates", "Is it friction_plates?"),
        ("colour", "There is no column “colour”. Name it as in the empty table"),
    ],
)
def test_another_unit_and_an_unknown_heading_are_told_apart(heading: str, words: str) -> None:
    assert words in refused(*FIRST, heading)[heading]


def test_a_torque_in_another_unit_is_told_too() -> None:
    with pytest.raises(BadInput, match=r"torque\.torque_nm, in N·m"):
        read_headings(Engine, [*FIRST, "torque.torque_lbf_ft"])


def test_the_share_of_known_headings_tells_the_kind() -> None:
    headings = [*FIRST, "seller", "price"]
    assert known_share(Offer, headings) == 1.0
    assert known_share(Pack, headings) == pytest.approx(1 / 3)
    assert known_share(Pack, ["id"]) == 0.0
