import pytest

from app.documents import Pack
from app.web.forms.form_views import (
    FormView,
    facing_options,
    figure_words,
    group_views,
    stale_view,
    still_as_copied,
    wire_options,
)
from app.web.forms.reader import FormReader
from app.web.forms.record_forms import Stale


def view_of(form: FormReader) -> FormView:
    return FormView("h", form, "/a", "/c", "d", "Save")


@pytest.mark.parametrize(
    ("texts", "words"),
    [
        ({"x": "2"}, "2"),
        ({"x": "2", "x__unit": "mm", "x__doubt": "0.1", "x__how": "listed"}, "2 mm ± 0.1, listed"),
        ({"x": "1/8 in", "x__unit": "in"}, "1/8 in"),
        ({"x": "", "x__unit": "mm", "x__how": "listed"}, ""),
    ],
)
def test_a_figure_is_told_in_one_line(texts: dict[str, str], words: str) -> None:
    assert figure_words(texts, "x") == words


def test_both_versions_stand_side_by_side_only_where_they_differ() -> None:
    form = FormReader(
        {"name": "A", "lift_mm": "2", "lift_mm__unit": "mm", "notes": "mine", "version": "1"}
    )
    theirs = {"name": "A", "lift_mm": "3", "lift_mm__unit": "mm", "notes": "mine", "facing": "cork"}
    told = stale_view(Stale(Pack(name="A"), 2, "Ben", "2026-11-25 10:00"), theirs, form)
    assert told.changed_by == "Ben"
    assert [(row.label, row.theirs, row.mine) for row in told.rows] == [
        ("Release travel of the pressure plate", "3 mm", "2 mm"),
        ("Facing material", "cork", "not known"),
    ]


def test_a_facing_and_a_wire_that_left_the_table_stay_to_be_chosen() -> None:
    assert facing_options(["cork"], "old_felt") == (
        ("", "Not known"),
        ("cork", "cork"),
        ("old_felt", "old felt"),
    )
    wires = dict(wire_options(FormReader({"clamp.springs.0.wire_material": "titanium"})))
    assert wires["music wire"] == "music wire (ASTM A228)"
    assert wires["titanium"] == "titanium"


def test_parts_that_hold_something_are_unfolded() -> None:
    head = "clamp.springs.1."
    form = FormReader(
        {
            "clamp.springs.0.count": "6",
            "clamp.springs.0.wire_mm__unit": "mm",
            f"{head}load_points.4.force_n": "9",
            f"{head}wire_mm": "2",
        }
    )
    first, second = group_views(form)
    assert (first.place, first.readings, first.wire, len(first.rows)) == (1, False, False, 3)
    assert (second.readings, second.wire, second.rows[-1]) == (True, True, 7)


def test_a_link_by_the_path_of_the_document_finds_the_chosen_kind_only() -> None:
    view = view_of(FormReader({"clamp.kind": "load"}))
    assert view.also("clamp", "load", "force_n") == "clamp.force_n"
    assert view.also("clamp", "disc", "outside_mm") == ""


def test_own_friction_counts_as_filled_in_and_a_unit_alone_does_not() -> None:
    assert view_of(FormReader({"friction.dry.static": "0.4"})).own_friction
    assert not view_of(FormReader({"friction.dry.static__how": "listed"})).own_friction


def test_only_untouched_boxes_count_as_copied() -> None:
    form = FormReader({"a": "1", "b": "2"})
    assert still_as_copied(form, {"a": "1", "b": "3", "c": "4"}) == {"a"}
