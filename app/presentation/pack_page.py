"""The page of a pack: its sheet, what is computed of it, what is missing, whom it holds."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.comparison.cell import CellResult, evaluate
from app.comparison.working_lines import WorkingLine
from app.documents import Offer, Pack
from app.mechanics.facing_limits import pressure_row
from app.mechanics.inputs import CentrifugalClamp, EngineInputs, PackInputs
from app.presentation.check_line import NO_CHECK, CheckLine
from app.presentation.class_words import claimed_text
from app.presentation.data_sheet import SheetPart, cautions_in
from app.presentation.numbers import NBSP, number_text
from app.presentation.pack_extras import PackExtras
from app.presentation.pack_sheet import pack_sheet
from app.presentation.readouts import (
    STATE,
    STATE_WORDS,
    Link,
    Readout,
    box_address,
    missing_links,
    next_words,
    readout_of,
    remarks,
    step_readout,
)
from app.presentation.verdict_list import SHOWN, VerdictLine, verdicts_of_pack


@dataclass(frozen=True)
class OfferLine:
    """One offer of the pack."""

    name: str
    href: str
    seller: str
    claim: str
    claimed: str
    price: str
    date: str
    link: str
    put_aside: str
    version: int
    ours: str = ""
    """Whether its claim holds for our engines, in a sentence."""
    classes: str = ""
    """Its judgement by displacement class, in a sentence."""


@dataclass(frozen=True)
class PackPage:
    """All that the page shows."""

    id: str
    name: str
    version: int
    changed: str
    checked: str
    notes: str
    readouts: tuple[Readout, ...]
    missing: tuple[Link, ...]
    measure_next: str
    measure_href: str
    remarks: tuple[str, ...]
    unusual: tuple[tuple[str, str], ...]
    parts: tuple[SheetPart, ...]
    verdicts: tuple[VerdictLine, ...]
    verdicts_more: str
    state_words: str = STATE_WORDS
    offers: tuple[OfferLine, ...] = ()
    extras: PackExtras | None = None
    check: CheckLine = NO_CHECK

    @property
    def edit(self) -> str:
        """Address of its form."""
        return f"/packs/{self.id}/edit"


def pack_page(
    public_id: str,
    version: int,
    pack: Pack,
    inputs: PackInputs,
    engines: Sequence[tuple[str, str, EngineInputs]],
    changed: str,
    offers: Sequence[OfferLine] = (),
) -> PackPage:
    """The page of one pack.

    Args:
        public_id: of the pack.
        version: of the record.
        pack: its document.
        inputs: the same as the mechanics take it, with its facing's friction.
        engines: id, name and inputs of every engine in use.
        changed: who changed it last, and when.
        offers: of the pack.
    """
    result = evaluate(inputs, None, STATE)
    parts = pack_sheet(pack)
    edit = f"/packs/{public_id}/edit"
    next_up = result.measure_next
    return PackPage(
        id=public_id,
        name=pack.name,
        version=version,
        changed=changed,
        checked=_checked(pack),
        notes=pack.notes or "",
        readouts=_readouts(result, inputs),
        missing=missing_links(result.missing, edit),
        measure_next="" if next_up is None else next_words(result),
        measure_href="" if next_up is None else box_address(edit, next_up.path),
        remarks=(*_by_speed(inputs), *remarks(result)),
        unusual=tuple(cautions_in(parts)),
        parts=parts,
        verdicts=verdicts_of_pack(public_id, inputs, engines),
        verdicts_more=f"/?pack={public_id}" if len(engines) > SHOWN else "",
        offers=tuple(offers),
    )


def _readouts(result: CellResult, inputs: PackInputs) -> tuple[Readout, ...]:
    steps = {line.name: line for line in result.working}
    return (
        readout_of("Torque it can carry", result.capacity, "N·m"),
        step_readout("Clamp load", steps.get("clamp_n")),
        step_readout("Effective radius", steps.get("effective_radius_mm")),
        step_readout(
            "Pressure on the facing, mean",
            steps.get("facing_pressure_mean_mpa"),
            pressure_words(inputs, steps.get("facing_pressure_mean_mpa")),
        ),
        step_readout("Working faces", steps.get("surfaces")),
    )


def pressure_words(pack: PackInputs, line: WorkingLine | None) -> str:
    """The mean pressure on the facing against what it stands, "" where there is no pressure."""
    if line is None:
        return ""
    row = None if pack.facing is None else pressure_row(pack.facing, STATE.lubrication)
    most = pack.pressure_limit_mpa or (None if row is None else row.p_max_high_mpa)
    if not most:
        return "how much its facing stands is not known"
    limit = f"{number_text(most, digits=3)}{NBSP}MPa"
    share = line.value / most
    if share > 1.0:
        return f"{number_text(share, digits=2)} times the {limit} that its facing stands"
    return f"{number_text(100.0 * share, decimals=0)}{NBSP}% of the {limit} that its facing stands"


def _by_speed(inputs: PackInputs) -> tuple[str, ...]:
    if not isinstance(inputs.clamp, CentrifugalClamp):
        return ()
    told = "The clamp load grows with speed, so what the pack carries is worked out per engine."
    return (told,)


def _checked(pack: Pack) -> str:
    if pack.checked is None:
        return ""
    return " · ".join(text for text in (pack.checked.by, pack.checked.at) if text)


def offer_line(public_id: str, version: int, offer: Offer) -> OfferLine:
    """One offer as the page lists it."""
    price = "" if offer.price is None else number_text(offer.price, decimals=2)
    return OfferLine(
        name=offer.name,
        href=f"/offers/{public_id}",
        seller=offer.seller or "",
        claim=offer.claim or "",
        claimed=claimed_text(offer.claimed_cc_low, offer.claimed_cc_high),
        price=f"{price}{NBSP}{offer.currency}" if price and offer.currency else price,
        date=offer.date or "",
        link=offer.link or "",
        put_aside=f"/offers/{public_id}/put-aside",
        version=version,
    )
