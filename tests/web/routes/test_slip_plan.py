"""A plan is an address: what it asks, what it says, and the card."""

import re
from urllib.parse import parse_qsl, urlencode, urlsplit

import pytest
from markupsafe import escape

from app.fields.doubts import default_doubt
from app.presentation.plan_page import rig_cautions
from tests.web.routes.boxes import boxes
from tests.web.routes.conftest import PACK, Shop
from tests.web.routes.test_slip_test_forms import GAUGE

CHAIN = {
    "chain.0.kind": "gauge", "chain.0.name": "Arm", "chain.0.max_nm": "80",
    "chain.1.kind": "hexagon", "chain.1.name": "Stub", "chain.1.across_flats_mm": "12",
    "chain.1.yield_mpa": "700",
}


@pytest.fixture
def pack(shop: Shop) -> str:
    return shop.save("/packs/new", PACK).removeprefix("/packs/")


def plan(shop: Shop, status: int = 200, path: str = "/tests/plan", **asked: str) -> str:
    return shop.get(f"{path}?{urlencode(asked)}", status).replace("\u00a0", " ")


def test_the_page_begins_with_its_form(shop: Shop) -> None:
    text = shop.get("/tests/plan")
    assert "Plan it" in text
    assert "from memory, not confirmed" in text
    assert "use the certificate of your bar" in text


def test_the_number_of_springs_is_recommended_with_what_is_used(shop: Shop, pack: str) -> None:
    # All six springs slip at 0.12 × 503.7 = 60.4 N·m; at most 0.8 × 80 = 64 may be used.
    text = plan(shop, pack=pack, **CHAIN)
    assert "Fit 4 springs, evenly spaced." in text
    assert '<td class="num">60.4</td>' in text
    assert "Scale the result by 6/4 for all springs" in text
    assert text.count('<svg class="utilisation') == 6 + 2
    assert "can&#39;t sit evenly" in text
    assert f'href="/tests/new?pack={pack}&amp;springs=4"' in text


def test_a_chain_that_is_too_weak_is_said(shop: Shop, pack: str) -> None:
    text = plan(shop, pack=pack, **CHAIN | {"chain.0.max_nm": "20"})
    assert "a stronger chain is needed" in text
    assert "over 80 %; can&#39;t sit evenly" in text
    assert '<dl class="readouts">' not in text, "no empty frame where nothing is safe"
    assert "No chain is given" in plan(shop, pack=pack)


def test_heat_and_arm_are_worked_out(shop: Shop, pack: str) -> None:
    text = plan(shop, pack=pack, **CHAIN, springs="6", speed_rpm="60", seconds="10",
                plate_mass_kg="0.5", max_temperature_rise_k="50", arm_m="0.5")
    # P = T ω = 60.44 × 2π = 379.8 W; ΔT = 3798 J/(0.5 × 460); F = T/0.5.
    for figure in ("380", "16.5", "121"):
        assert f'readout-value">{figure}</span>' in text
    # 0.5 × 460 × 50/379.8 = 30.3 s
    assert 'readout-value">30.3</span>' in text


def test_the_cautions_stand_beside_the_step_and_on_the_card(shop: Shop, pack: str) -> None:
    text = plan(shop, pack=pack, **CHAIN)
    step = text[text.index("Fit 4 springs"):text.index("By the number of springs")]
    for words in ("Pull the wrench", "stop at the first slip", "anything that turns"):
        assert words in step
    card = plan(shop, path="/tests/plan/card", pack=pack, **CHAIN)
    for words in ("Test card: Six springs", "chuck key", "spindle", "Oil on the plates: yes / no"):
        assert words in card
    assert card.count('<td class="write">') == 10 * 5


def test_cautions_stand_with_the_result_and_only_their_sources_are_folded(
    shop: Shop, pack: str
) -> None:
    text = plan(shop, pack=pack, **CHAIN)
    box = text.partition('<div class="caution together"')[2].partition("Test card to print")[0]
    assert text.count('<div class="caution together"') == 1
    shown, _, folded = box.partition("<details>")
    for caution in rig_cautions()[:4]:
        assert str(escape(caution.text)) in shown
        assert str(escape(caution.source)) in folded
        assert str(escape(caution.source)) not in shown
    assert 'href="#change"' in text
    assert text.index('<div class="caution together"') < text.index('id="change"')


def test_a_known_link_is_added_and_the_address_is_the_plan(shop: Shop, pack: str) -> None:
    shop.save("/instruments/new", GAUGE)
    page = shop.get(f"/tests/plan?pack={pack}")
    options = dict(re.findall(r'<option value="((?:square|instrument)-[^"]+)"[^>]*>([^<]+)', page))
    gauge = next(key for key, words in options.items() if words.startswith("Fish scale"))
    for preset in (gauge, "square-10"):
        typed = boxes(page, "/tests/plan") | {"do": "add", "preset": preset}
        answer = shop.client.get("/tests/plan", params=typed)
        assert answer.status_code == 303
        address = urlsplit(answer.headers["location"])
        page = shop.get(f"{address.path}?{address.query}")
    asked = dict(parse_qsl(address.query))
    assert (asked["chain.0.name"], asked["chain.0.max_nm"]) == ("Fish scale", "60")
    assert (asked["chain.1.kind"], asked["chain.1.max_nm"]) == ("rated", "202")
    assert "do" not in asked
    assert "" not in asked.values()
    assert boxes(page, "/tests/plan")["chain.1.max_nm"] == "202"


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"chain.0.max_nm": "0"}, "Largest torque must be more than 0 N·m."),
        ({"chain.1.yield_mpa": ""}, "Yield strength: write it too"),
        ({"springs": "9"}, "The pack has 6 positions; fit that many at most."),
        ({"pack": "nothing"}, "There is no such pack in use."),
        ({"lubrication": "wet"}, "Choose one of: dry, oiled."),
        ({"colour": "red"}, "A plan has no “colour”"),
        ({"chain.0.kind": "rope"}, "Choose one of: gauge"),
    ],
)
def test_what_cannot_be_is_said_at_its_box(
    shop: Shop, pack: str, changed: dict[str, str], words: str
) -> None:
    text = plan(shop, 422, **{"pack": pack, **CHAIN, **changed})
    assert words in text
    assert 'name="chain.0.name" value="Arm"' in text


def test_a_pack_that_lacks_figures_says_which(shop: Shop) -> None:
    bare = shop.save("/packs/new", {"name": "Bare"}).removeprefix("/packs/")
    text = plan(shop, pack=bare)
    assert "The slip torque needs more of the pack:" in text
    assert f'href="/packs/{bare}/edit#f-facing-od-mm"' in text
    plan(shop, 404, path="/tests/plan/card", pack=bare)


def test_a_pack_without_friction_is_planned_with_an_assumed_one(shop: Shop) -> None:
    unknown = {name: text for name, text in PACK.items() if not name.startswith("friction.")}
    pack = shop.save("/packs/new", unknown | {"facing": ""}).removeprefix("/packs/")
    text = plan(shop, pack=pack, **CHAIN)
    assert "A friction coefficient can also be assumed for this plan alone" in text
    text = plan(shop, pack=pack, mu="0.12", mu_limit="0.04", **CHAIN)
    assert '<td class="num">60.4</td>' in text
    assert "μ 0.120 ± 0.040 assumed for this plan" in text
    card = plan(shop, path="/tests/plan/card", pack=pack, mu="0.12", mu_limit="0.04", **CHAIN)
    assert "μ 0.120 ± 0.040 assumed for this plan" in card
    assert "Fit 4 springs, evenly spaced." in text
    # μ could be a sixth more, so fewer springs are safe with a gauge that ends at 62 N·m.
    weaker = CHAIN | {"chain.0.max_nm": "62"}
    assert "Fit 4" in plan(shop, pack=pack, mu="0.12", mu_limit="0.02", **weaker)
    assert "Fit 3" in plan(shop, pack=pack, mu="0.12", mu_limit="0.04", **weaker)
    usual = default_doubt("friction", "assumed", 0.12)
    assert f"0.120 ± {usual:.3f} assumed" in plan(shop, pack=pack, mu="0.12", **CHAIN)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"mu": "-0.1"}, "Friction coefficient"),
        ({"mu": "", "mu_limit": "0.02"}, "Write the friction coefficient that this doubt"),
    ],
)
def test_an_assumed_friction_is_read_with_care(
    shop: Shop, pack: str, typed: dict[str, str], words: str
) -> None:
    assert words in plan(shop, 422, pack=pack, **typed, **CHAIN)
