"""Packs against displacement classes, and sellers' claims against both."""

import math
from dataclasses import replace

import pytest

from app.comparison.board import PackEntry
from app.comparison.class_board import ClaimMade, class_board
from app.mechanics.class_table import displacement_classes
from app.mechanics.inputs import (
    CentrifugalClamp,
    CoilClamp,
    LoadClamp,
    PackInputs,
    Quantity,
    SpringGroup,
    State,
)
from app.mechanics.tables import bmep_band


def entry(key: str, clamp_n: float, mounting: str = "geared", clamp: object = None) -> PackEntry:
    inputs = PackInputs(
        name=key, friction_plates=6, facing_od_mm=Quantity(140.0), facing_id_mm=Quantity(104.0),
        mounting=mounting, friction={("oiled", "sliding"): Quantity(0.12, plus_minus=0.012)},
        clamp=clamp or LoadClamp(Quantity(clamp_n)),
    )
    return PackEntry(key, 1, key, inputs)


def board(packs, claims=(), factor=1.0):
    return class_board(packs, claims, State(), displacement_classes(), bmep_band("four_stroke"), 4,
                       factor)


def test_demand_is_the_band_of_pressure_displacement_and_ratio():
    crank = {d.row.displacement_cc: d for d in board([]).demands["crankshaft"]}
    band = bmep_band("four_stroke")
    # T = bmep V_d/(4π): kPa · cm³ is mJ, so a thousandth gives N·m.
    assert crank[125].high_nm == pytest.approx(band.high_kpa * 125 / (4000 * math.pi), rel=1e-12)
    geared = {d.row.displacement_cc: d for d in board([]).demands["geared"]}
    row = geared[125].row
    assert geared[125].low_nm == pytest.approx(crank[125].low_nm * row.ratio_low, rel=1e-12)


def test_a_stronger_pack_holds_no_smaller_class():
    sizes = [board([entry("a", n)]).packs[0].held.whole_cc or 0 for n in range(100, 4000, 100)]
    assert sizes == sorted(sizes)
    assert len(set(sizes)) > 5


def test_the_service_factor_takes_classes_away():
    plain, harder = (board([entry("a", 1500)], factor=f).packs[0].held for f in (1.0, 1.5))
    assert (harder.whole_cc or 0) < (plain.whole_cc or 0)


def test_claims_are_judged_by_the_lower_end():
    claims = [
        ClaimMade("a", "modest", "", 50, 50),
        ClaimMade("a", "sweeping", "", 650, 650),
        ClaimMade("a", "wide", "", 50, 650),
        ClaimMade("a", "silent", "", None, None),
        ClaimMade("other", "not ours", "", 50, 50),
    ]
    found = {c.made.offer: c.verdict for c in board([entry("a", 900)], claims).packs[0].claims}
    assert found == {"modest": "supported", "sweeping": "not supported", "wide": "partly",
                     "silent": "can't tell"}


def test_a_claim_and_the_classes_held_never_contradict_each_other():
    for newtons in range(200, 4000, 150):
        claims = [ClaimMade("a", f"{low} {high}", "", low, high)
                  for low in (50, 125, 200) for high in (205, 350, 650)]
        (pack,) = board([entry("a", newtons)], claims).packs
        whole = pack.held.whole_cc or 0
        for judged in pack.claims:
            held_all = whole >= judged.made.high_cc
            assert (judged.verdict == "supported") == held_all, (newtons, judged)


def test_a_pack_that_cannot_release_says_so_whatever_it_holds():
    spring = SpringGroup(
        6, Quantity(30.0), Quantity(20.0), wire_mm=Quantity(3.0), outside_mm=Quantity(18.0),
        total_coils=Quantity(6.5), ends="closed_ground", wire_material="music wire",
    )
    fails, sound = board([
        PackEntry("f", 1, "f", replace(entry("f", 0.0, clamp=CoilClamp((spring,))).inputs,
                                       lift_mm=Quantity(1.2))),
        entry("s", 900),
    ]).packs
    # Solid at 6.5 · 3 = 19.5 mm, and full lift asks for 18.8 mm.
    assert "can_release" in fails.failed
    assert fails.held.whole_cc is not None
    assert sound.failed == ()


def test_packs_of_a_mounting_stand_the_largest_first_and_unknown_ones_nowhere():
    found = board([entry("a", 500), entry("b", 900), entry("c", 700, "crankshaft"),
                   entry("d", 800), PackEntry("e", 1, "e", PackInputs(name="e"))])
    assert [found.entries[i].name for i in found.standing("geared")] == ["b", "d", "a"]
    assert [found.entries[i].name for i in found.standing("crankshaft")] == ["c"]
    assert [p.entry.name for p in found.rows([3, 0])] == ["d", "a"]


def test_what_is_not_known_is_said():
    weights = CentrifugalClamp(6, Quantity(20.0), Quantity(40.0), Quantity(30.0), Quantity(100.0))
    by_speed, no_place, bare = board([
        entry("w", 0.0, clamp=weights),
        entry("m", 900, mounting=None),
        PackEntry("b", 1, "b", PackInputs(name="b", mounting="geared")),
    ]).packs
    assert "speed" in (by_speed.why_not or "")
    assert "mounting" in (no_place.why_not or "")
    assert no_place.capacity is not None
    assert bare.capacity is None
    assert bare.held.whole_cc is None
