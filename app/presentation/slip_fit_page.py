"""The page of a friction fit: runs taken and left out, laws, both fits, charts, what to use."""

from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from app.comparison.slip_runs import PackFit
from app.documents import Pack, SlipTest
from app.mechanics.inputs import FrictionKind, Lubrication
from app.mechanics.slip_laws import Estimate, LawFit
from app.mechanics.slip_test import FrictionFit
from app.presentation.numbers import NBSP, NOT_KNOWN, number_text, quantity_text, with_unit
from app.presentation.slip_fit_charts import (
    FitChart,
    direction_chart,
    order_chart,
    run_residuals,
    torque_chart,
)
from app.presentation.slip_fit_doubt import TERMS, against_words, doubt_words, radius_words
from app.presentation.slip_fit_words import (
    left_out_words,
    no_use_words,
    second_load_words,
    standing_words,
    undecided_words,
)
from app.presentation.slip_log import STATE_WORDS, readings_text, springs_text

LAW_OPTIONS = (
    ("auto", "The one with the least score"),
    ("proportional", "Proportional, T = μ z F Re"),
    ("power", "Power, T rises as F to a power"),
    ("lost_load", "Lost load, T = μ z Re (F − lost)"),
)
LAW_NAMES = {"proportional": "Proportional", "power": "Power", "lost_load": "Lost load"}
PRACTICE = "common practice"
CLAMP_ERROR = (
    "A tested μ already holds this pack's own clamp error and the loss in its splines. The "
    "comparison counts the doubt of clamp load and radius once more beside it, which errs on the "
    "safe side."
)


@dataclass(frozen=True, slots=True)
class FitRun:
    """One run in the table of the fit."""

    id: str
    number: int
    name: str
    href: str
    springs: str
    clamp: str
    readings: str
    taken: bool
    why: str
    can_take: bool
    asked: bool


@dataclass(frozen=True, slots=True)
class LawRow:
    """One law of the table; `why` where it can't be fitted."""

    name: str
    here: bool
    mu: str
    interval: str
    second: str
    second_interval: str
    score: str
    why: str


@dataclass(frozen=True, slots=True)
class FitRow:
    """One of the two fits: as taken, and with every run."""

    label: str
    mu: str
    interval: str
    law: str
    readings: str
    why: str


@dataclass(frozen=True, slots=True)
class Use:
    """What one press takes into the pack; `against` where its law is in question."""

    mu: str
    state: tuple[str, str]
    shown_mu: str
    interval: str
    runs: int
    version: int
    against: str

    @property
    def words(self) -> str:
        """What stands on the button."""
        return f"Use {self.mu} for {', '.join(self.state)}"


@dataclass(frozen=True)
class FitPage:
    """All that the page shows."""

    pack: str
    pack_href: str
    path: str
    state: str
    lubrication: str
    friction: str
    law: str
    states: tuple[tuple[str, str, bool], ...]
    runs: tuple[FitRun, ...]
    laws: tuple[LawRow, ...]
    fits: tuple[FitRow, ...]
    probability: str
    words: tuple[tuple[str, bool], ...]
    doubt: tuple[str, ...]
    radius: str
    refusal: str
    charts: tuple[FitChart, ...]
    use: Use | None
    no_use: str
    left_out: str
    take_in: str
    undecided: str
    second_load: str
    standing: str
    put_back: str
    problems: tuple[str, ...] = ()
    law_options: tuple[tuple[str, str], ...] = LAW_OPTIONS
    clamp_error: str = CLAMP_ERROR
    terms: tuple[tuple[str, str], ...] = TERMS

    @property
    def raw(self) -> dict[str, str]:
        """What stands in the boxes of the form that chooses a law."""
        return {"law": self.law}

    def message_for(self, _name: str) -> str | None:
        """The choices of this page can't be refused one by one."""
        return None


def fit_page(
    public_id: str,
    version: int,
    pack: Pack,
    state: tuple[Lubrication, FrictionKind],
    law: str,
    taken_in: Sequence[str],
    tests: Sequence[tuple[str, SlipTest]],
    fit: PackFit,
    mu: Estimate | None,
    states: Sequence[tuple[tuple[Lubrication, FrictionKind], int]],
    put_back: str,
    problems: Sequence[str] = (),
) -> FitPage:
    """The page of one pack's fit in one state.

    Args:
        public_id: of the pack.
        version: of the pack.
        pack: its document.
        state: lubrication and kind of friction.
        law: as it was asked for.
        taken_in: runs that are asked for although they would be left out.
        tests: id and document of each run, in the order of the loads.
        fit: loads and both fits.
        mu: the figure that the comparison may use, with its doubt; None for none.
        states: states that were tested, with the number of runs.
        put_back: address that puts the old figure back, "" where there is nothing to put back.
        problems: what was wrong with what was asked.
    """
    path = f"/tests/fit/{public_id}"
    residuals = [] if fit.fit is None else run_residuals(fit.fit, [t for _, t in tests])
    charts: tuple[FitChart, ...] = ()
    if fit.fit is not None:
        charts = (torque_chart(fit, fit.fit),)
        if residuals:
            charts = (*charts, order_chart(residuals), direction_chart(residuals))
    return FitPage(
        pack=pack.name,
        pack_href=f"/packs/{public_id}",
        path=path,
        state=STATE_WORDS[state],
        lubrication=state[0],
        friction=state[1],
        law=law,
        states=tuple(
            (f"{STATE_WORDS[one]}: {count} {'run' if count == 1 else 'runs'}",
             f"{path}?lubrication={one[0]}&friction={one[1]}", one == state)
            for one, count in states
        ),
        runs=_runs(tests, fit, taken_in),
        laws=() if fit.fit is None else _laws(fit.fit),
        fits=(_fit_row("As taken", fit.fit, fit.refusal),
              _fit_row("With every run", fit.whole, fit.whole_refusal)),
        probability=_probability(fit.fit),
        words=() if fit.fit is None else tuple((w, PRACTICE in w) for w in fit.fit.words),
        doubt=doubt_words(fit.fit),
        radius=radius_words(pack),
        refusal=fit.refusal,
        charts=charts,
        use=_use(mu, sum(fit.taken), version, state, against_words(fit.fit)),
        no_use="" if mu is not None else no_use_words(fit),
        left_out=left_out_words(fit),
        take_in=_take_in(path, state, law, taken_in, fit),
        undecided=undecided_words(pack, fit),
        second_load=second_load_words(pack, fit),
        standing=standing_words(pack, state),
        put_back=put_back,
        problems=tuple(problems),
    )


def _runs(
    tests: Sequence[tuple[str, SlipTest]], fit: PackFit, taken_in: Sequence[str]
) -> tuple[FitRun, ...]:
    rows = []
    for number, ((key, test), load, taken) in enumerate(
        zip(tests, fit.loads, fit.taken, strict=True), start=1
    ):
        clamp = load.load.clamp_n
        rows.append(FitRun(
            id=key,
            number=number,
            name=str(test.name),
            href=f"/tests/{key}",
            springs=springs_text(test, load),
            clamp=NOT_KNOWN if clamp is None else number_text(clamp, decimals=0),
            readings=readings_text(test),
            taken=taken,
            why=load.why_out,
            can_take=load.possible and bool(load.why_out),
            asked=key in taken_in,
        ))
    return tuple(rows)


def _take_in(
    path: str, state: tuple[Lubrication, FrictionKind], law: str, taken_in: Sequence[str],
    fit: PackFit,
) -> str:
    """Address of the fit with the runs that the springs alone leave out; "" for none.

    What a tester left out for a reason of their own is taken in one by one.
    """
    left = [load.run.key for load, taken in zip(fit.loads, fit.taken, strict=True)
            if load.possible and not taken and load.run.excluded_reason is None]
    if not left:
        return ""
    pairs = [("lubrication", state[0]), ("friction", state[1]), ("law", law)]
    return f"{path}?{urlencode([*pairs, *(('take', key) for key in (*taken_in, *left))])}"


def interval_text(estimate: Estimate, digits: int = 3) -> str:
    """The 95 % interval of a fitted figure; an end that the readings leave open says so.

    >>> interval_text(Estimate(0.12, 0.01, 0.1, None))
    '0.1 to open'
    """
    ends = (estimate.low, estimate.high)
    low, high = ("open" if end is None else number_text(end, digits=digits) for end in ends)
    return NOT_KNOWN if low == high == "open" else f"{low} to {high}"


def estimate_text(estimate: Estimate, unit: str = "") -> str:
    """A fitted figure ± its standard error.

    >>> estimate_text(Estimate(0.1183, 0.0061, 0.106, 0.131))
    '0.1183 ± 0.0061'
    """
    if estimate.std is None:
        return with_unit(number_text(estimate.value, digits=3), unit)
    return quantity_text(estimate.value, estimate.std, unit)


def _laws(fit: FrictionFit) -> tuple[LawRow, ...]:
    rows = [_law_row(law, law is fit.fit or law == fit.fit) for law in fit.compared]
    rows += [
        LawRow(LAW_NAMES[name], False, "", "", "", "", "", why[:1].upper() + why[1:] + ".")
        for name, why in fit.not_fitted
    ]
    return tuple(rows)


def _law_row(law: LawFit, here: bool) -> LawRow:
    second, between = "", ""
    if law.exponent is not None:
        second, between = f"power {estimate_text(law.exponent)}", interval_text(law.exponent)
    elif law.lost_load_n is not None:
        second = f"lost load {estimate_text(law.lost_load_n, 'N')}"
        between = interval_text(law.lost_load_n)
    score = "too few readings" if law.aicc is None else number_text(law.aicc, decimals=1)
    why = "" if law.sigma is not None else "Passes through every value: no scatter to tell from."
    return LawRow(LAW_NAMES[law.law], here, estimate_text(law.mu), interval_text(law.mu), second,
                  between, score, why)


def _fit_row(label: str, fit: FrictionFit | None, refusal: str) -> FitRow:
    if fit is None:
        return FitRow(label, NOT_KNOWN, "", "", "", refusal)
    return FitRow(
        label, estimate_text(fit.fit.mu), interval_text(fit.fit.mu), LAW_NAMES[fit.fit.law],
        str(fit.readings), "",
    )


def _probability(fit: FrictionFit | None) -> str:
    if fit is None or fit.p_proportional is None:
        return ""
    p = fit.p_proportional
    text = f"<{NBSP}0.001" if p < 0.001 else number_text(p, digits=2)
    return f"Were torque proportional to clamp load, so large a departure had a chance of {text}."


def _use(
    mu: Estimate | None, runs: int, version: int, state: tuple[Lubrication, FrictionKind],
    against: str,
) -> Use | None:
    if mu is None:
        return None
    return Use(
        mu=f"μ {estimate_text(mu)}",
        state=state,
        shown_mu=repr(mu.value),
        interval=interval_text(mu),
        runs=runs,
        version=version,
        against=against,
    )
