"""A seller's claim against the team's own engines, and what else holds for less money."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from app.comparison.board import EngineEntry, PackEntry
from app.comparison.failed_checks import failed_checks
from app.comparison.run import compare
from app.comparison.verdict import VERDICTS, Verdict
from app.documents import Offer
from app.presentation.board_failed import failed_words
from app.presentation.class_words import claimed_text
from app.presentation.numbers import number_text, ratio_text
from app.presentation.readouts import STATE, STATE_WORDS
from app.presentation.shortlist_page import price_text
from app.presentation.verdict_list import VerdictLine, verdicts_of_pack

_WORDS = {
    "holds": "holds",
    "tight": "is tight on",
    "slips": "slips on",
    "unknown": "is not known for",
}


@dataclass(frozen=True)
class Claim:
    """What an offer claims, by displacement class and engine by engine.

    Attributes:
        says: the finding in a sentence.
        lines: every engine of the claimed displacement, with the pack's verdict on it.
        classes: the judgement by displacement class, as on the page of classes.
    """

    says: str
    lines: tuple[VerdictLine, ...] = ()
    classes: str = ""


@dataclass(frozen=True)
class Cheaper:
    """A pack that holds an engine for less."""

    pack: str
    href: str
    verdict: Verdict
    ratio: str
    interval: str
    offer: str
    offer_href: str
    seller: str
    price: str
    saving: str
    failed: str = ""


@dataclass(frozen=True)
class OfferPage:
    """One offer with its claim, and what else there is."""

    id: str
    name: str
    version: int
    changed: str
    pack: str
    pack_id: str
    facts: tuple[tuple[str, str], ...]
    link: str
    notes: str
    claim: Claim
    engines: tuple[tuple[str, str], ...]
    chosen: str
    chosen_name: str
    cheaper: tuple[Cheaper, ...]
    cheaper_says: str
    other_money: str = ""
    state_words: str = STATE_WORDS


def claimed_engines(offer: Offer, engines: Sequence[EngineEntry]) -> list[EngineEntry]:
    """The engines whose displacement lies within what an offer claims to hold."""
    low = offer.claimed_cc_low if offer.claimed_cc_low is not None else 0.0
    high = offer.claimed_cc_high if offer.claimed_cc_high is not None else float("inf")
    if offer.claimed_cc_low is None and offer.claimed_cc_high is None:
        return []
    return [
        engine
        for engine in engines
        if engine.inputs.displacement_cc is not None
        and low <= engine.inputs.displacement_cc.value <= high
    ]


def claim_of(offer: Offer, pack: PackEntry | None, engines: Sequence[EngineEntry]) -> Claim:
    """Whether an offer's claim holds for our engines.

    Args:
        offer: with what it claims.
        pack: that is on offer, None where it is not in use.
        engines: every engine in use.
    """
    text = claimed_text(offer.claimed_cc_low, offer.claimed_cc_high)
    if not text:
        return Claim("It claims no displacement, so there is nothing to hold it to.")
    if pack is None:
        return Claim("Its pack is not recorded, so the claim cannot be held against figures.")
    within = claimed_engines(offer, engines)
    if not within:
        return Claim(f"None of our engines has a displacement of {text}.")
    found = [(e.public_id, e.name, e.inputs) for e in within]
    lines = verdicts_of_pack(pack.public_id, pack.inputs, found, shown=len(found))
    return Claim(_finding(lines, text), lines)


def _finding(lines: Sequence[VerdictLine], text: str) -> str:
    total = len(lines)
    beside = sum(bool(line.failed) for line in lines)
    checks = f" Of those it has the torque for, it fails a check on {beside}." if beside else ""
    return f"{_by_torque(lines, text, total)}{checks}"


def _by_torque(lines: Sequence[VerdictLine], text: str, total: int) -> str:
    counts = {word: sum(line.verdict == word for line in lines) for word in VERDICTS}
    ours = f"our {total} engines" if total > 1 else "our one engine"
    if counts["holds"] == total:
        return f"The claim holds by torque for {ours} of {text}."
    parts = [
        f"it {_WORDS[word]} {counts[word]}"
        for word in ("holds", "tight", "slips", "unknown")
        if counts[word]
    ]
    start = "The claim does not hold" if counts["slips"] else "The claim is not settled"
    return f"{start} for {ours} of {text}: {', '.join(parts)}."


def usual_engine(offer: Offer, engines: Sequence[EngineEntry]) -> str:
    """The engine to look at first: the largest that the offer claims, else the first there is."""
    within = claimed_engines(offer, engines) or list(engines)
    if not within:
        return ""
    largest = max(
        within, key=lambda e: e.inputs.displacement_cc.value if e.inputs.displacement_cc else 0.0
    )
    return largest.public_id


def cheaper_packs(
    offer: Offer,
    engine: EngineEntry,
    packs: Sequence[PackEntry],
    offers: Sequence[tuple[str, Offer]],
) -> tuple[Cheaper, ...]:
    """Packs that hold an engine by an offer that asks less in the same currency.

    Those that fail a check, whatever their torque, come last.

    Args:
        offer: to be undercut.
        engine: to be held.
        packs: every pack in use.
        offers: every offer in use, by id.
    """
    price = offer.price
    if price is None:
        return ()
    by_id = {pack.public_id: pack for pack in packs}
    best: dict[str, tuple[float, str, Offer]] = {}
    for key, other in _others(offer, by_id, offers):
        if other.currency == offer.currency and other.price is not None and other.price < price:
            found = (other.price, key, other)
            best[other.pack or ""] = min(best.get(other.pack or "", found), found,
                                         key=lambda one: one[0])
    chosen = [by_id[key] for key in best]
    if not chosen:
        return ()
    inputs = [pack.inputs for pack in chosen]
    board = compare(inputs, [engine.inputs], STATE)
    failed = failed_checks(inputs, [engine.inputs], STATE, board.capacity)
    lines = []
    for i, pack in enumerate(chosen):
        if VERDICTS[board.verdict[i, 0]] == "holds":
            asked, key, other = best[pack.public_id]
            ratios = (float(a[i, 0]) for a in (board.ratio, board.low, board.high))
            words = failed_words(failed.get((i, 0), ()))
            line = _line(ratios, pack, engine, (key, other), price - asked, words)
            lines.append((bool(words), asked, line))
    return tuple(line for *_, line in sorted(lines, key=lambda one: one[:2]))


def _others(
    offer: Offer, by_id: Mapping[str, PackEntry], offers: Sequence[tuple[str, Offer]]
) -> list[tuple[str, Offer]]:
    """Offers with a price of other packs in use."""
    return [
        (key, other)
        for key, other in offers
        if other.price is not None and other.pack in by_id and other.pack != offer.pack
    ]


def other_money(
    offer: Offer, packs: Sequence[PackEntry], offers: Sequence[tuple[str, Offer]]
) -> str:
    """That offers of other packs ask in another currency and are left out; "" for none.

    Args:
        offer: to be undercut.
        packs: every pack in use.
        offers: every offer in use, by id.
    """
    by_id = {pack.public_id: pack for pack in packs}
    apart = [o for _, o in _others(offer, by_id, offers) if o.currency != offer.currency]
    if offer.price is None or not apart:
        return ""
    named = ", ".join(sorted({o.currency or "no currency named" for o in apart}))
    many = "1 offer is" if len(apart) == 1 else f"{len(apart)} offers are"
    return (f"{many} left out for asking in other money ({named}): prices are compared within one "
            "currency only.")


def _line(
    ratios: Iterable[float],
    pack: PackEntry,
    engine: EngineEntry,
    found: tuple[str, Offer],
    saving: float,
    failed: str,
) -> Cheaper:
    key, other = found
    ratio, low, high = map(ratio_text, ratios)
    return Cheaper(
        pack=pack.name,
        href=f"/cell/{pack.public_id}/{engine.public_id}",
        verdict="holds",
        ratio=ratio,
        interval=f"{low}–{high}",
        offer=other.name,
        offer_href=f"/offers/{key}",
        seller=other.seller or "",
        price=price_text(other),
        saving=f"{number_text(saving, decimals=2)} {other.currency or ''}".strip(),
        failed=failed,
    )


def cheaper_says(offer: Offer, engine: str, cheaper: Sequence[Cheaper]) -> str:
    """What was found, in a sentence."""
    if not engine:
        return "There is no engine to hold yet."
    if offer.price is None:
        return "Without a price there is nothing to undercut."
    sound = [line for line in cheaper if not line.failed]
    beside = len(cheaper) - len(sound)
    if not cheaper:
        return f"No other pack holds {engine} for less by the offers that are recorded."
    if not sound:
        fail = "1 has the torque but fails" if beside == 1 else f"{beside} have the torque but fail"
        return f"No other pack that passes its checks holds {engine} for less; {fail} one."
    more = "" if not beside else (
        " 1 more has the torque but fails a check." if beside == 1
        else f" {beside} more have the torque but fail a check.")
    first = sound[0]
    others = "" if len(sound) == 1 else f" {len(sound)} packs do."
    return f"{first.pack} holds {engine} for {first.price}, {first.saving} less.{others}{more}"


def offer_facts(offer: Offer) -> tuple[tuple[str, str], ...]:
    """What is known of an offer, as (name, text)."""
    claimed = claimed_text(offer.claimed_cc_low, offer.claimed_cc_high)
    return (
        ("Seller", offer.seller or "not said"),
        ("Claim, in the seller’s words", offer.claim or "none"),
        ("Claimed for", claimed or "not said"),
        ("Price of one", price_text(offer) or "not said"),
        ("Seen", offer.date or "not said"),
    )
