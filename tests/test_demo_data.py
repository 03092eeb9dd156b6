"""The made-up shop: every document is valid, marked as invented, and the board shows everything."""

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from app.comparison.board import PackEntry
from app.comparison.cell import CellResult, evaluate
from app.comparison.checks import checks
from app.comparison.class_board import ClaimMade, class_board
from app.comparison.failed_checks import failed_checks
from app.comparison.run import compare
from app.documents.base import read
from app.documents.doubts import with_defaults
from app.documents.engine import Engine
from app.documents.offer import Offer
from app.documents.pack import Pack
from app.mechanics.class_table import displacement_classes
from app.mechanics.fit import bolts_up, overall
from app.mechanics.inputs import State
from app.mechanics.tables import bmep_band
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
    assert len(packs()) == 21
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


def failed(pack: str, engine: str, state: State = OILED) -> tuple[str, ...]:
    ours, theirs = packs()[pack].to_inputs(), engines()[engine].to_inputs()
    capacity = compare([ours], [theirs], state).capacity
    return failed_checks([ours], [theirs], state, capacity).get((0, 0), ())


# The pack that each engine's note names: it holds, bolts up, and passes every check.
ANSWERS = {
    "Mire 50": "Sedge 4", "Mire 80 automatic": "Alder 3", "Fen 110": "Alder 4",
    "Fen 125": "Sedge 6", "Carr 150 trail": "Bulrush 6 firm", "Carr 250": "Bulrush 7 nested",
    "Holm 350 twin": "Bulrush 7 nested", "Holm 450 enduro": "Reed 8", "Ness 650 twin": "Reed 8",
}


def test_every_engine_has_a_pack_that_truly_holds_and_its_note_names_it() -> None:
    assert set(ANSWERS) == set(engines())
    for engine, pack in ANSWERS.items():
        ours, theirs = packs()[pack].to_inputs(), engines()[engine].to_inputs()
        assert cell(pack, engine).verdict == "holds", engine
        assert overall(bolts_up(ours, theirs)) == "yes", engine
        assert failed(pack, engine) == ()
        worn = evaluate(ours, theirs, State("oiled", "sliding", None))
        assert worn.verdict in ("holds", "tight"), engine
        assert f"{pack} holds" in (engines()[engine].notes or ""), engine


# What a pack that has the torque fails, on an engine for which that is told in its note.
@pytest.mark.parametrize(("pack", "engine", "check", "words"), [
    ("Brack 6 shimmed", "Carr 250", "can_release", "go solid before full lift"),
    ("Tussock 5 stiff", "Carr 150 trail", "spring_stress", "stressed beyond"),
    ("Saltpan bargain 3", "Mire 80 automatic", "facing_pressure", "pressed harder than cork"),
    ("Osier 7 diaphragm", "Carr 250", "bolts_up", "meshes with none"),
    ("Bulrush 7 nested", "Carr 150 trail", "bolts_up", ""),
    ("Reed 9 disc", "Holm 450 enduro", "bolts_up", ""),
])
def test_traps_hold_by_torque_and_fail_a_check(
    pack: str, engine: str, check: str, words: str
) -> None:
    assert cell(pack, engine).verdict == "holds"
    assert failed(pack, engine) == (check,)
    assert words in (packs()[pack].notes or "")


@pytest.mark.parametrize(("pack", "code"), [
    ("Brack 5 doubtful springs", "rates_disagree"),
    ("Brack 6 shimmed", "coil_bind"),
    ("Bulrush 6 odd springs", "free_lengths_differ"),
    ("Bulrush 6 odd springs", "springs_uneven"),
])
def test_a_remark_is_made_on_the_pack_that_is_there_for_it(pack: str, code: str) -> None:
    found = {p for p in packs() if code in {c.code for c in cell(p, "Carr 250").cautions}}
    assert found == {pack}


def test_every_check_is_seen_passing_and_otherwise() -> None:
    seen: dict[str, set[str]] = {}
    for pack in packs().values():
        for engine in engines().values():
            for one in checks(pack.to_inputs(), engine.to_inputs(), OILED):
                seen.setdefault(one.name.split(",")[0], set()).add(one.outcome)
    assert seen["bolts up"] == {"pass", "fail", "not known"}
    for name in ("can release", "facing pressure", "spring stress"):
        assert {"pass", "fail"} <= seen[name], name
    for name in ("lift per face", "hand force"):
        assert {"pass", "caution"} <= seen[name], name
    # Springs too short to buckle have no such check at all.
    assert seen["buckling"] == {"caution"}


def test_one_pack_holds_new_and_slips_before_its_facings_are_worn() -> None:
    ours, theirs = (packs()["Sedge 6 short springs"].to_inputs(),
                    engines()["Fen 125"].to_inputs())
    assert evaluate(ours, theirs, OILED).verdict == "holds"
    assert evaluate(ours, theirs, State("oiled", "sliding", None)).verdict == "slips"
    assert failed("Sedge 6 short springs", "Fen 125") == ()


def test_one_pack_holds_dry_what_it_slips_on_oiled() -> None:
    dry = evaluate(packs()["Withy 7 dry"].to_inputs(), engines()["Holm 450 enduro"].to_inputs(),
                   State("dry", "sliding"))
    assert dry.verdict == "holds"
    assert cell("Withy 7 dry", "Holm 450 enduro").verdict == "slips"


def test_one_engine_s_bore_and_stroke_disagree_with_its_displacement() -> None:
    found = {e for e in engines()
             if "displacement_disagrees" in {c.code for c in cell("Reed 8", e).cautions}}
    assert found == {"Fen 125"}


def test_a_pack_with_weights_bites_with_speed() -> None:
    pack, engine = packs()["Alder 3 automatic"], engines()["Mire 80 automatic"]
    slow = evaluate(pack.to_inputs(), engine.to_inputs(),
                    State("oiled", "sliding", speed_rpm=2500.0))
    assert cell("Alder 3 automatic", "Mire 80 automatic").verdict == "holds"
    assert slow.verdict == "slips"


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
    listed = cell("Bulrush 6", "Carr 250")
    assert "friction_from_table" in {c.code for c in listed.cautions}


def test_only_the_box_of_parts_does_not_know_its_own_capacity() -> None:
    lacking = {p for p in packs() if cell(p, "Carr 250").capacity is None}
    assert lacking == {"Sallow box of parts"}
    assert "pack.mounting" in cell("Sallow box of parts", "Carr 250").missing


def test_springs_have_room_at_full_lift_and_pressures_are_modest() -> None:
    for pack in packs():
        for line in cell(pack, "Carr 250").working:
            if line.name == "clash_allowance":
                assert (line.value > 0.15) == (pack != "Brack 6 shimmed")
            if line.name == "facing_pressure_max_mpa":
                # The cork pack of the false offer is pressed harder than cork allows.
                assert line.value < (0.75 if pack != "Saltpan bargain 3" else 0.14)


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


def test_claims_of_every_judgement_are_made() -> None:
    entries = [PackEntry(n, 1, n, p.to_inputs()) for n, p in packs().items()]
    claims = [ClaimMade(o["pack"], o["name"], "", o.get("claimed_cc_low"), o.get("claimed_cc_high"))
              for o in raw("offers.json")]
    found = class_board(entries, claims, OILED, displacement_classes(), bmep_band("four_stroke"), 4)
    judged = {c.made.offer: (c.verdict, bool(p.failed)) for p in found.packs for c in p.claims}
    assert judged["Bargain three-plate set"] == ("not supported", True)
    assert judged["Small crank pack, complete"] == ("supported", False)
    assert judged["Nested seven-plate pack"] == ("partly", False)
    assert judged["Box of clutch parts"] == ("can't tell", False)
    # By torque alone this one would do.
    assert judged["Shimmed upgrade"] == ("supported", True)


def test_prices_are_in_more_than_one_money_and_a_dead_bargain_is_the_cheapest() -> None:
    offers = raw("offers.json")
    assert {o["currency"] for o in offers} == {"EUR", "GBP"}
    holding = [o for o in offers if o["currency"] == "EUR"
               and cell(o["pack"], "Carr 250").verdict == "holds"]
    cheapest = min(holding, key=lambda o: o["price"])
    assert cheapest["pack"] == "Brack 6 shimmed"
    assert failed("Brack 6 shimmed", "Carr 250")


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
