"""Groups of springs and their readings, from the form to the document."""

import pytest

from app.documents import Coil
from app.web.forms import spring_form
from app.web.forms.pack_form import pack_texts, read_pack
from app.web.forms.reader import FormReader
from tests.web.typed_packs import GROUP, TYPED, pack_of, refusals_of


def test_groups_keep_their_figures_when_one_before_them_is_taken_out() -> None:
    typed = TYPED | {
        "clamp.springs.1.count": "6",
        "clamp.springs.1.free_length_mm": "40",
    }
    stored = pack_of(typed)
    form = FormReader(pack_texts(stored) | {"stamp_by": "Ben"})
    spring_form.remove_group(form, 0)
    pack = read_pack(form, stored).document
    assert isinstance(pack.clamp, Coil)
    assert isinstance(stored.clamp, Coil)
    assert pack.clamp.springs == [stored.clamp.springs[1]]


def test_refusals_stand_at_the_boxes_of_a_group_that_was_counted_anew() -> None:
    typed = {"name": "Gap", "clamp.kind": "coil", "clamp.springs.0.tester_limit": "2 %"}
    typed |= {"clamp.springs.3.wire_mm": "5", "clamp.springs.3.outside_mm": "9"}
    found = refusals_of(typed)
    assert set(found) == {"clamp.springs.3.wire_mm", "clamp.springs.3.outside_mm"}
    assert found["clamp.springs.3.outside_mm"].startswith(
        "Write more than twice the wire diameter, 5 mm."
    )
    assert found["clamp.springs.3.wire_mm"].startswith(
        "Write less than half the outside diameter, 9 mm."
    )


def test_a_spring_that_is_no_shorter_in_the_pack_than_free_is_asked_about_at_both_boxes() -> None:
    free, installed = f"{GROUP}.free_length_mm", f"{GROUP}.installed_length_mm"
    turned = TYPED | {free: "30.5", f"{free}__unit": "mm", installed: "38"}
    found = refusals_of(turned)
    assert found == {
        free: "Write more than the installed length, 38 mm. Here stands 30.5 mm.",
        installed: "Write less than the free length, 30.5 mm. Here stands 38 mm.",
    }
    # A shim may press it all the same.
    assert pack_of(turned | {f"{GROUP}.shim_mm": "8"}).clamp is not None
    assert set(refusals_of(turned | {f"{GROUP}.shim_mm": "0"})) == {free, installed}


def test_a_second_group_takes_over_the_tester_and_starts_blank() -> None:
    form = FormReader(TYPED)
    n = spring_form.add_group(form)
    assert form.raw[f"clamp.springs.{n}.tester_limit"] == "2 %"
    pack = read_pack(form).document
    assert isinstance(pack.clamp, Coil)
    assert len(pack.clamp.springs) == 1


def test_readings_take_one_unit_for_a_column() -> None:
    head = f"{GROUP}.load_points"
    typed = TYPED | {
        f"{head}.deflection_mm__unit": "in",
        f"{head}.force_n__unit": "lbf",
        f"{head}.0.deflection_mm": "0.5",
        f"{head}.0.force_n": "10",
        f"{head}.1.deflection_mm": "25.4 mm",
        f"{head}.1.force_n": "20",
    }
    pack = pack_of(typed)
    assert isinstance(pack.clamp, Coil)
    points = pack.clamp.springs[0].load_points or []
    assert [point.deflection_mm for point in points] == [12.7, 25.4]
    assert points[0].force_n == pytest.approx(44.482216152605, rel=1e-15)


def test_half_a_reading_is_asked_for() -> None:
    name = f"{GROUP}.load_points.0"
    found = refusals_of(TYPED | {f"{name}.deflection_mm": "5"})
    assert found == {f"{name}.force_n": "Write the force at this deflection too, or clear the row."}


def test_every_spring_of_a_set_may_be_measured_in_one_box() -> None:
    typed = {k: v for k, v in TYPED.items() if "free_length_mm" not in k}
    typed |= {f"{GROUP}.free_lengths_mm": "38,1 38.3; 1.5in", f"{GROUP}.positions": "8"}
    pack = pack_of(typed)
    assert isinstance(pack.clamp, Coil)
    (group,) = pack.clamp.springs
    assert group.free_lengths_mm == [38.1, 38.3, 38.1]
    assert group.positions == 8
    assert group.free_length_mm is not None
    assert group.free_length_mm.value == pytest.approx(38.166667)
    texts = pack_texts(pack)
    assert texts[f"{GROUP}.free_lengths_mm"] == "38.1; 38.3; 38.1"
    # The mean is worked out again, so that it follows a length that is changed.
    assert f"{GROUP}.free_length_mm" not in texts
    again = pack_of(texts | {f"{GROUP}.free_lengths_mm": "40 41"}, pack)
    assert isinstance(again.clamp, Coil)
    assert again.clamp.springs[0].free_length_mm is not None
    assert again.clamp.springs[0].free_length_mm.value == 40.5


@pytest.mark.parametrize("text", ["38 long", "38; 0", "38 -2"])
def test_lengths_that_cannot_be_are_refused_at_their_box(text: str) -> None:
    assert f"{GROUP}.free_lengths_mm" in refusals_of(TYPED | {f"{GROUP}.free_lengths_mm": text})
