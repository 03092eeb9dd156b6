from typing import Any

import plotly.graph_objects as go

from app.comparison.board import EngineEntry, PackEntry
from app.documents import Offer
from app.presentation.price_chart import price_view
from tests.factories import make_engine_document, make_pack

ENGINE = EngineEntry("e", 1, "Single", make_engine_document().to_inputs())


def pack(key: str, plates: int | None) -> PackEntry:
    return PackEntry(key, 1, key.upper(), make_pack(friction_plates=plates).to_inputs())


def offer(pack_id: str, price: float | None, currency: str = "EUR") -> tuple[str, Offer]:
    made = {"name": f"of {pack_id}", "pack": pack_id, "price": price, "currency": currency}
    return f"o{pack_id}{price}", Offer.model_validate(made)


def coloured(part: Any) -> Any:
    """The chart with a colour in the place of each role."""
    if isinstance(part, dict):
        return {name: coloured(inner) for name, inner in part.items()}
    if isinstance(part, list):
        return [coloured(inner) for inner in part]
    return "#123456" if isinstance(part, str) and part.startswith("@") else part


PACKS = [pack("p", 60), pack("q", 1), pack("r", None)]


def test_a_chart_has_a_sentence_a_table_and_the_limit() -> None:
    offers = [offer("p", 80), offer("q", 20), offer("p", 60), offer("p", 1, "GBP")]
    view = price_view(ENGINE, PACKS, offers)
    assert view is not None
    says = view.says.replace("\u00a0", " ")
    assert says.startswith("The cheapest pack that holds Single and passes its checks is P for "
                           "60.00 EUR, at a ratio of")
    assert "3 offers are drawn" in says
    assert says.startswith(view.finding.replace("\u00a0", " "))
    assert "drawn" not in view.finding
    assert "1 more in the table only (asking GBP: prices are compared within one currency" in says
    assert [row.pack for row in view.rows] == ["Q", "P", "P", "P"]
    assert view.rows[0].href == "/cell/q/e"
    (trace,) = view.spec["traces"]
    assert trace["x"] == [20.0, 60.0, 80.0]
    assert trace["marker"]["color"] == ["@limit", "@available", "@available"]
    assert view.spec["layout"]["shapes"][0]["y0"] == 1
    assert view.spec["layout"]["xaxis"]["title"]["text"] == "Price of one pack [EUR]"


def test_the_figure_is_one_that_the_chart_library_takes() -> None:
    view = price_view(ENGINE, PACKS, [offer("p", 80), offer("q", 20)])
    assert view is not None
    plain = coloured(view.spec)
    go.Figure(plain["traces"], plain["layout"])


def test_a_cheaper_pack_that_fails_a_check_is_no_answer_and_drawn_hollow() -> None:
    wide = make_pack(friction_plates=60, envelope_diameter_mm=900).to_inputs()
    packs = [*PACKS, PackEntry("w", 1, "W", wide)]
    document = make_engine_document(envelope_diameter_mm=150)
    engine = EngineEntry("e", 1, "Single", document.to_inputs())
    view = price_view(engine, packs, [offer("w", 10), offer("p", 60)])
    assert view is not None
    assert "passes its checks is P for" in view.says
    assert "For less there is torque with a failed check: W (won’t bolt up)." in view.says
    assert view.spec["traces"][0]["marker"]["symbol"] == ["circle-open", "circle"]
    assert [row.failed for row in view.rows] == ["won’t bolt up", ""]
    alone = price_view(engine, packs, [offer("w", 10)])
    assert alone is not None
    assert alone.says.startswith("No pack with a price in EUR holds Single and passes its checks.")


def test_names_do_not_lie_on_each_other_and_the_packs_that_hold_are_named_first() -> None:
    packs = [*PACKS, *(pack(f"weak{n}", 1) for n in range(4)), pack("strong", 55)]
    offers = [offer("p", 80), *(offer(f"weak{n}", 20 + n) for n in range(4)), offer("strong", 82)]
    view = price_view(ENGINE, packs, offers)
    assert view is not None
    trace = view.spec["traces"][0]
    named = dict(zip(trace["customdata"], trace["text"], strict=True))
    assert named["P"].strip() == "P"
    # Four points beside each other have room for few names; the rest are in the table and on hover.
    assert 0 < sum(bool(named[f"WEAK{n}"]) for n in range(4)) < 4
    assert len(view.rows) == 6


def test_where_none_holds_the_sentence_says_so() -> None:
    view = price_view(ENGINE, PACKS, [offer("q", 20)])
    assert view is not None
    assert view.says.startswith("No pack with a price in EUR holds Single.")


def test_without_prices_or_known_ratios_there_is_no_chart() -> None:
    assert price_view(ENGINE, PACKS, []) is None
    assert price_view(ENGINE, PACKS, [offer("p", None), offer("r", 5), offer("gone", 5)]) is None
