import pytest

from app.presentation.engine_page import engine_page
from tests.factories import make_engine_document, make_pack

PACK = make_pack()
ENGINE = make_engine_document()


def test_an_engine_asks_more_of_a_geared_clutch() -> None:
    view = engine_page("e1", 1, ENGINE, ENGINE.to_inputs(), [("p1", "P", PACK.to_inputs())], "me")
    crank, geared = (float(demand.readouts[0].text) for demand in view.demands)
    assert geared / crank == pytest.approx(64 / 19, rel=0.01)
    assert [step.label for step in view.demands[1].working][-1] == "Required torque"
    assert view.verdicts[0].href == "/cell/p1/e1"


def test_bore_and_stroke_that_do_not_fit_are_told_once_with_what_to_check() -> None:
    engine = make_engine_document(displacement_cc=125.0, bore_mm=60.0, stroke_mm=50.0, cylinders=1)
    view = engine_page("e1", 1, engine, engine.to_inputs(), [], "me")
    # π/4 · 60² · 50 mm³ = 141.37 cm³.
    assert "60\u00a0mm and a stroke of 50\u00a0mm in 1 cylinder make 141.4\u00a0cc" in view.mismatch
    assert "125\u00a0cc is entered. Check bore, stroke" in view.mismatch
    assert not any("Bore and stroke" in text for d in view.demands for text in d.remarks)
    fits = make_engine_document(displacement_cc=141.0, bore_mm=60.0, stroke_mm=50.0, cylinders=1)
    assert engine_page("e1", 1, fits, fits.to_inputs(), [], "me").mismatch == ""


def test_the_formulas_have_their_indices_apart() -> None:
    view = engine_page("e1", 1, ENGINE, ENGINE.to_inputs(), [], "me")
    steps = [step for demand in view.demands for step in demand.working]
    assert steps[-1].formula[:2] == (("T", False), ("req", True))
    texts = [text for step in steps for text, _ in (*step.formula, *step.substituted)]
    assert not any("_" in text for text in texts)
