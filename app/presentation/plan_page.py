"""A planned slip test in words and figures: what slips when, each link's limit, heat, the card."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.comparison.slip_plan import UTILISATION_LIMIT, LinkLimit, SlipPlan, SpringCase
from app.mechanics.inputs import State
from app.mechanics.tables import Steel, steels
from app.presentation.cautions import CAUTIONS, Caution
from app.presentation.numbers import NBSP, NOT_KNOWN, number_text
from app.presentation.readouts import Readout
from app.presentation.slip_log import STATE_WORDS

FULL_BAR = 1.25
"""Utilisation at the right end of a bar."""

AT_THE_RIG = ("wrench", "slip-test", "turning-parts", "hot", "chuck-key", "spindle")
CARD_ROWS = 10


@dataclass(frozen=True, slots=True)
class CaseRow:
    """One number of springs: prediction, the weakest link and how much of it is used."""

    springs: str
    predicted: str
    span: str
    balanced: str
    weakest: str
    utilisation: str
    bar: float
    over: bool
    chosen: bool


@dataclass(frozen=True, slots=True)
class LinkRow:
    """One link of the chain at the chosen number of springs."""

    name: str
    limit: str
    gives_way: str
    utilisation: str
    bar: float
    over: bool


@dataclass(frozen=True, slots=True)
class SteelRow:
    """A steel of the table of hints."""

    name: str
    condition: str
    strength: str
    source: str


@dataclass(frozen=True)
class PlanResult:
    """What the plan says."""

    pack: str
    state: str
    headline: str
    recommended: str
    cases: tuple[CaseRow, ...]
    chosen: str
    links: tuple[LinkRow, ...]
    readouts: tuple[Readout, ...]
    words: tuple[str, ...]
    log: str
    limit_bar: float = 100.0 * UTILISATION_LIMIT / FULL_BAR
    limit_words: str = f"{100 * UTILISATION_LIMIT:.0f}{NBSP}%"
    card_rows: tuple[int, ...] = tuple(range(1, CARD_ROWS + 1))


def rig_cautions() -> tuple[Caution, ...]:
    """The cautions of the step in which the rig turns."""
    return tuple(CAUTIONS[key] for key in AT_THE_RIG)


def steel_rows() -> tuple[SteelRow, ...]:
    """Steels as hints for a yield strength."""
    return tuple(
        SteelRow(s.steel, s.condition, _strength(s), f"{s.source}, from memory") for s in steels()
    )


def _strength(steel: Steel) -> str:
    low, high = number_text(steel.yield_low_mpa), number_text(steel.yield_high_mpa)
    return low if low == high else f"{low}–{high}"


def plan_result(
    plan: SlipPlan, public_id: str, pack: str, state: State, wants_heat: bool
) -> PlanResult:
    """The plan as its page and its card show it.

    Args:
        plan: the plan.
        public_id: of the pack.
        pack: its name.
        state: lubrication and kind of friction.
        wants_heat: whether speed was given, so that heat can be worked out.
    """
    chosen = plan.chosen
    springs = None if chosen is None else chosen.springs
    headline = "No number of springs is safe with this chain: a stronger chain is needed."
    if plan.recommended_springs is not None:
        headline = f"Fit {plan.recommended_springs} springs, evenly spaced."
    elif not plan.links:
        headline = "Say what stands between drive and gauge, and the plan says what holds."
    elif chosen is not None and chosen.springs is None and (
        (chosen.utilisation or 0.0) <= UTILISATION_LIMIT
    ):
        headline = "The chain holds the whole pack."
    return PlanResult(
        pack=pack,
        state=STATE_WORDS[state.lubrication, state.friction],
        headline=headline,
        recommended="" if plan.recommended_springs is None else str(plan.recommended_springs),
        cases=tuple(_case_row(case, case is chosen or case == chosen) for case in plan.cases),
        chosen=_chosen_words(chosen),
        links=_link_rows(plan.links, chosen),
        readouts=_readouts(plan, chosen, wants_heat),
        words=plan.words,
        log=f"/tests/new?pack={public_id}" + ("" if springs is None else f"&springs={springs}"),
    )


def _chosen_words(case: SpringCase | None) -> str:
    if case is None:
        return ""
    if case.springs is None:
        return "with the whole clamp"
    return f"with {case.springs} {'spring' if case.springs == 1 else 'springs'}"


def _case_row(case: SpringCase, chosen: bool) -> CaseRow:
    p = case.predicted
    return CaseRow(
        springs="all" if case.springs is None else str(case.springs),
        predicted=number_text(p.value, decimals=1),
        span=f"{number_text(p.low, decimals=1)}–{number_text(p.high, decimals=1)}",
        balanced="" if case.balanced else "can't sit evenly",
        weakest=case.weakest or "",
        utilisation=_share(case.utilisation),
        bar=_bar(case.utilisation),
        over=(case.utilisation or 0.0) > UTILISATION_LIMIT,
        chosen=chosen,
    )


def _link_rows(links: Sequence[LinkLimit], chosen: SpringCase | None) -> tuple[LinkRow, ...]:
    rows = []
    for link in links:
        used = None if chosen is None else chosen.predicted.high / link.limit_nm
        kind = "" if link.yield_nm is None else " (yields)"
        gives_way = "" if link.plastic_nm is None else number_text(link.plastic_nm, decimals=0)
        rows.append(LinkRow(
            name=link.name,
            limit=f"{number_text(link.limit_nm, digits=4)}{kind}",
            gives_way=gives_way,
            utilisation=_share(used),
            bar=_bar(used),
            over=(used or 0.0) > UTILISATION_LIMIT,
        ))
    return tuple(rows)


def _share(used: float | None) -> str:
    return "" if used is None else f"{number_text(100 * used, decimals=0)}{NBSP}%"


def _bar(used: float | None) -> float:
    return 0.0 if used is None else round(100.0 * min(used / FULL_BAR, 1.0), 1)


def _readouts(plan: SlipPlan, chosen: SpringCase | None, heat: bool) -> tuple[Readout, ...]:
    found = []
    if chosen is not None:
        p = chosen.predicted
        found.append(Readout(
            "It will slip at", number_text(p.value, decimals=1), "N·m",
            f"{number_text(p.low, decimals=1)}–{number_text(p.high, decimals=1)}, 95{NBSP}%",
            _chosen_words(chosen),
        ))
    if plan.power_w is not None:
        found.append(Readout("Heat made while it slips", number_text(plan.power_w, digits=3), "W"))
    if plan.temperature_rise_k is not None:
        found.append(Readout("The plates get warmer by",
                             number_text(plan.temperature_rise_k, digits=3), "K", "",
                             "without any cooling"))
    if plan.longest_run_s is not None:
        found.append(Readout("Longest run", number_text(plan.longest_run_s, digits=3), "s", "",
                             "until the plates reach the limit"))
    elif heat:
        found.append(Readout("Longest run", NOT_KNOWN, "", "",
                             "it takes the plates' mass and the temperature limit"))
    if plan.arm_force_n is not None:
        found.append(Readout("Force at the end of the arm",
                             number_text(plan.arm_force_n, digits=3), "N", "",
                             "the rest that holds it must take this, and the jolt"))
    return tuple(found)
