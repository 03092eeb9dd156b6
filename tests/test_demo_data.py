"""The made-up shop: every document is valid, marked as invented, and the board shows everything."""

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from app.comparison.cell import CellResult, evaluate
from app.comparison.classes import ClassRow, judge_claim
from app.documents.base import read
from app.documents.doubts import with_defaults
from app.documents.engine import Engine
from app.documents.offer import Offer
from app.documents.pack import Pack
from app.mechanics.inputs import State
from app.mechanics.tables import bmep_band, suggested_service_factor
from app.settings import PROJECT_ROOT

DEMO: Path = PROJECT_ROOT / "seed_data" / "demo"
OILED = State(lubrication="oiled", friction="sliding")


def raw(name: str) -> list[dict[str, Any]]:
    records = json.loads((DEMO / name).read_text(encoding="utf-8"))
    assert isinstance(records, list)
    return records


@cache
def packs() -> dict[str, Pack]:
    return {r["name"]: with_defaults(read(Pack, r).document) for r in raw("packs.json")}


@cache
def engines() -> dict[str, Engine]:
    return {r["name"]: with_defaults(read(Engine, r).document) for r in raw("engines.json")}


@cache
def cell(pack: str, engine: str) -> CellResult:
    return evaluate(packs()[pack].to_inputs(), engines()[engine].to_inputs(), OILED)


def board() -> list[CellResult]:
    return [cell(pack, engine) for pack in packs() for engine in engines()]


def hows(value: Any) -> Iterator[str | None]:
    """How each figure with a doubt of its own is known."""
    if isinstance(value, dict):
        if "value" in value:
            yield value.get("how")
        else:
            for part in value.values():
                yield from hows(part)
    elif isinstance(value, list):
        for part in value:
            yield from hows(part)


@pytest.mark.parametrize(
    ("name", "model"), [("packs.json", Pack), ("engines.json", Engine), ("offers.json", Offer)]
)
def test_every_document_is_valid_understood_and_marked_as_invented(
    name: str, model: type[Pack | Engine | Offer]
) -> None:
    records = raw(name)
    for record in records:
        assert read(model, record).unknown == ()
        assert "Invented for the demonstration" in record["notes"]
    assert len({record["name"] for record in records}) == len(records)


def test_how_many_there_are_and_from_50_to_650_cc() -> None:
    assert len(packs()) == 14
    assert len(engines()) == 9
    swept = [e.displacement_cc.value for e in engines().values() if e.displacement_cc]
    assert min(swept) == pytest.approx(50.0, rel=0.02)
    assert max(swept) == pytest.approx(650.0, rel=0.02)
    assert {e.strokes for e in engines().values()} == {2, 4}


def test_every_verdict_and_a_heavy_one_stand_on_the_board() -> None:
    cells = board()
    assert {c.verdict for c in cells} == {"holds", "tight", "slips", "unknown"}
    assert any(c.heavy for c in cells)
    for c in cells:
        assert (c.verdict == "unknown") == bool(c.missing)


def test_every_pack_holds_some_engine_unless_too_little_is_known() -> None:
    for pack in packs():
        verdicts = {cell(pack, engine).verdict for engine in engines()}
        assert ("holds" in verdicts) == (pack != "Sallow box of parts")


def test_every_engine_has_a_pack_that_holds_it() -> None:
    for engine in engines():
        assert any(cell(pack, engine).verdict == "holds" for pack in packs())


def test_every_kind_of_clamp_torque_and_mounting_occurs() -> None:
    clamps = [p.clamp for p in packs().values() if p.clamp]
    assert {c.kind for c in clamps} == {"coil", "load", "disc", "disc_table", "centrifugal"}
    assert any(len(c.springs) > 1 for c in clamps if c.kind == "coil")
    assert {p.mounting for p in packs().values()} == {"crankshaft", "geared", None}
    torques = {e.torque.kind for e in engines().values() if e.torque}
    assert torques == {"measured", "power", "bmep", "curve"}


def test_one_pack_is_measured_throughout_and_one_only_listed() -> None:
    kinds = {r["name"]: set(hows(r)) for r in raw("packs.json")}
    assert kinds["Alder 3"] == {"measured"}
    assert kinds["Saltpan bargain 3"] == {"listed"}


def test_one_pack_has_friction_of_its_own_and_the_others_say_whose_it_is() -> None:
    own = cell("Reed 8", "Ness 650 twin")
    assert "friction_from_table" not in {c.code for c in own.cautions}
    listed = cell("Rush 6", "Carr 250")
    assert "friction_from_table" in {c.code for c in listed.cautions}


def test_the_two_rates_of_one_pack_disagree_and_of_the_others_agree() -> None:
    agreement = {
        (pack, line.group): line.value
        for pack in packs()
        for line in cell(pack, "Carr 250").working
        if line.name == "rate_agreement_en"
    }
    assert len(agreement) > 6
    assert {pack for (pack, _), en in agreement.items() if en > 1.0} == {"Brack 5 doubtful springs"}


def test_only_the_box_of_parts_does_not_know_its_own_capacity() -> None:
    lacking = {p for p in packs() if cell(p, "Carr 250").capacity is None}
    assert lacking == {"Sallow box of parts"}
    assert "pack.mounting" in cell("Sallow box of parts", "Carr 250").missing


def test_springs_have_room_at_full_lift_and_pressures_are_modest() -> None:
    for pack in packs():
        for line in cell(pack, "Carr 250").working:
            if line.name == "clash_allowance":
                assert line.value > 0.15
            if line.name == "facing_pressure_max_mpa":
                # The cork pack of the false offer is pressed harder than cork allows.
                assert line.value < (0.5 if pack != "Saltpan bargain 3" else 0.14)


def test_the_disc_springs_of_two_packs_age_in_opposite_ways() -> None:
    def worn_over_new(pack: str) -> float:
        figures = {line.name: line.value for line in cell(pack, "Carr 250").working}
        return figures["clamp_worn_n"] / figures["clamp_n"]

    assert worn_over_new("Osier 7 diaphragm") > 1.0
    assert worn_over_new("Reed 9 disc") < 1.0


def test_offers_point_at_packs_and_at_no_real_seller() -> None:
    for offer in raw("offers.json"):
        assert offer["pack"] in packs()
        assert offer["link"].startswith("https://parts.example.org/")
        assert offer["seller"].endswith("(invented)")


def test_one_claim_is_false_one_true_and_one_half_true() -> None:
    band = bmep_band("four_stroke")
    factor = suggested_service_factor(4, 1)
    assert factor is not None
    # Primary ratios of 2.5 to 3.3 span the geared engines of the shop but the largest.
    template = ClassRow(1.0, 4, band.low_kpa, band.high_kpa, 2.5, 3.3, factor.factor)
    verdicts = {}
    for offer in raw("offers.json"):
        pack = packs()[offer["pack"]]
        low, high = offer.get("claimed_cc_low"), offer["claimed_cc_high"]
        capacity = evaluate(pack.to_inputs(), None, OILED).capacity
        assert capacity is not None
        assert pack.mounting is not None
        verdicts[pack.name] = judge_claim(low, high, capacity.low, template, pack.mounting)
    assert verdicts["Saltpan bargain 3"] == "not supported"
    assert verdicts["Alder 3"] == "supported"
    assert "partly" in verdicts.values()


def test_the_sweeping_claim_fails_on_the_shop_s_own_engines_too() -> None:
    offer = next(o for o in raw("offers.json") if o["pack"] == "Saltpan bargain 3")
    within = [
        e.name
        for e in engines().values()
        if e.displacement_cc
        and offer["claimed_cc_low"] <= e.displacement_cc.value <= offer["claimed_cc_high"]
    ]
    assert len(within) > 3
    assert {cell("Saltpan bargain 3", engine).verdict for engine in within} == {"slips"}
