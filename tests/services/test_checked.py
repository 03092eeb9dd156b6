import pytest

from app.documents import Facing
from app.services.checked import same_figures, unchecked_when_changed
from tests.factories import make_engine_document, make_pack

CHECK = {"by": "Bea", "at": "2026-11-25"}


@pytest.mark.parametrize("make", [make_pack, make_engine_document])
def test_a_changed_figure_withdraws_the_check_and_notes_do_not(make) -> None:  # type: ignore[no-untyped-def]  # either factory
    before = make(checked=CHECK)
    assert unchecked_when_changed(before, make(checked=CHECK, notes="clean")).checked is not None
    assert unchecked_when_changed(before, make("Other", checked=CHECK)).checked is None


def test_a_check_made_anew_stays() -> None:
    before = make_pack(checked=CHECK)
    after = make_pack(friction_plates=5, checked={"by": "Cy", "at": "2026-11-26"})
    assert unchecked_when_changed(before, after) == after


def test_kinds_without_a_check_pass_as_they_are() -> None:
    after = Facing(name="b")
    assert unchecked_when_changed(Facing(name="a"), after) is after


def test_the_check_itself_is_no_figure() -> None:
    assert same_figures(make_pack(), make_pack(checked=CHECK, notes="x"))
    assert not same_figures(make_pack(), make_pack(lift_mm=1.3))
