"""Each kind of clamp from its own boxes to the document."""

from app.documents import Disc, DiscTable, Load
from app.web.forms.pack_form import pack_texts
from tests.web.typed_packs import pack_of, refusals_of


def test_each_kind_of_clamp_is_read_from_its_own_boxes() -> None:
    load = pack_of({"name": "L", "clamp.kind": "load", "clamp.load.force_n": "1,2 kN"})
    assert isinstance(load.clamp, Load)
    assert load.clamp.force_n is not None
    assert load.clamp.force_n.value == 1200.0
    disc = pack_of(
        {
            "name": "D",
            "clamp.kind": "disc",
            "clamp.disc.outside_mm": "90",
            "clamp.disc.in_series": "2",
        }
    )
    assert isinstance(disc.clamp, Disc)
    assert (disc.clamp.in_series, disc.clamp.modulus_mpa.value) == (2, 206000.0)
    assert "clamp.disc.modulus_mpa" not in pack_texts(disc)
    table = pack_of(
        {
            "name": "T",
            "clamp.kind": "disc_table",
            "clamp.disc_table.points.0.deflection_mm": "1",
            "clamp.disc_table.points.0.force_n": "900",
        }
    )
    assert isinstance(table.clamp, DiscTable)
    assert [p.force_n for p in table.clamp.points] == [900.0]
    assert pack_of(pack_texts(table), table) == table


def test_figures_of_a_clamp_that_was_not_chosen_are_asked_about() -> None:
    found = refusals_of({"name": "?", "clamp.load.force_n": "900"})
    assert found == {"clamp.kind": "Choose what presses the plates together."}


def test_refusals_of_a_clamp_stand_at_its_boxes() -> None:
    typed = {"name": "D", "clamp.kind": "disc", "clamp.disc.outside_mm": "40"}
    assert refusals_of(typed | {"clamp.disc.inside_mm": "60"}) == {
        "clamp.disc.outside_mm": "Write more than the inside diameter, 60 mm. Here stands 40 mm.",
        "clamp.disc.inside_mm": "Write less than the outside diameter, 40 mm. Here stands 60 mm.",
    }
