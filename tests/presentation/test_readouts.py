from app.comparison.cell import Reading, evaluate
from app.comparison.working_lines import WorkingLine
from app.presentation.readouts import (
    STATE,
    box_address,
    missing_links,
    next_words,
    readout_of,
    remarks,
    step_readout,
)
from tests.factories import make_pack


def test_an_interval_has_the_decimals_of_its_figure() -> None:
    shown = readout_of("Torque", Reading(12.3456, 0.52, 11.2998, 13.4001), "N·m")
    assert (shown.text, shown.range) == ("12.3", "11.3–13.4")
    assert readout_of("Torque", Reading(12.0, 0.0, 12.0, 12.0), "N·m").range == "no doubt given"
    assert readout_of("Torque", None, "N·m").text == "not known"


def test_a_step_has_twice_its_standard_uncertainty() -> None:
    shown = step_readout("Clamp load", WorkingLine("clamp_n", 764.2, 12.6, "N", "", "", ""))
    assert (shown.text, shown.unit, shown.range) == ("764", "N", "±\u00a025")
    faces = step_readout("Faces", WorkingLine("surfaces", 8.0, 0.0, "1", "", "", ""))
    assert (faces.unit, faces.range) == ("", "")
    exact = step_readout("Clamp load", WorkingLine("clamp_n", 1234.5678, 0.0, "N", "", "", ""))
    assert (exact.text, exact.range) == ("1235", "no doubt given")
    assert step_readout("Clamp load", None).text == "not known"


def test_links_lead_to_the_box_of_the_figure() -> None:
    assert box_address("/e", "pack.clamp.springs.0.wire_mm") == "/e#f-clamp-springs-0-wire-mm"
    assert box_address("/e", "engine") == "/e"
    links = missing_links(["engine", "pack.facing_od_mm"], "/e")
    assert [(link.text, link.href) for link in links] == [
        ("Facing outside diameter", "/e#f-facing-od-mm")
    ]


def test_remarks_are_sentences_and_the_next_measurement_has_its_share() -> None:
    pack = make_pack(plain_plates=9)
    result = evaluate(pack.to_inputs(), None, STATE)
    told = remarks(result)
    assert any("plain plates" in text for text in told)
    assert not any(text[0].islower() or not text.endswith(".") for text in told)
    assert next_words(result).endswith("\u00a0% of the doubt")
