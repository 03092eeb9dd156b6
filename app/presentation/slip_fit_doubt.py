"""How sure a fitted μ is, in words: runs, gauge, radius, and what the terms of a fit mean."""

import math

from app.documents import Pack
from app.mechanics.disc_friction import radius_uniform_pressure, radius_uniform_wear
from app.mechanics.slip_doubt import GaugeShare
from app.mechanics.slip_test import UNLIKELY, FrictionFit
from app.presentation.numbers import NBSP, number_text, with_unit

LIGHT = 0.005
"""A gauge of less weight, as one that ended before the slip, is not worth a sentence."""

TERMS = (
    ("±", "One standard uncertainty: about two times in three the true figure lies within it."),
    ("95 % interval",
     "Every value of a figure for which the readings, spans and bounds too, are still likely "
     "enough, the others being free to follow: a profile likelihood interval."),
    ("How the laws are fitted",
     "By maximum likelihood: those figures are taken that make the readings, spans and bounds most "
     "likely. A value counts by its density, a span by the chance of falling into it, a bound by "
     "the chance of falling beyond it."),
    ("Score",
     "Akaike’s information criterion, corrected for few readings (AICc). A law that lies closer "
     "to the readings has less, one with more figures to turn has more. Two points are little, "
     "ten are clear."),
    ("Chance of so large a departure",
     "From a likelihood-ratio test of the power law against the proportional one. Below 0.05 "
     "the proportional law is called into question."),
)
"""Each exact term with what it means; folded on the page."""


def doubt_words(fit: FrictionFit | None) -> tuple[str, ...]:
    """Of what the doubt of the offered μ is made, in sentences; none without a doubt."""
    if fit is None or fit.doubt is None or fit.mu_for_comparison is None:
        return ()
    mu, doubt = fit.mu_for_comparison.value, fit.doubt
    decimals = 1 - math.floor(math.log10(mu * doubt.together))
    parts = [number_text(mu * part, decimals=max(0, decimals))
             for part in (doubt.scatter, doubt.gauge, doubt.together)]
    words = [f"Scatter of runs ± {parts[0]}, gauge ± {parts[1]}, together ± {parts[2]} (each one "
             "standard uncertainty of μ)."]
    known = [g for g in doubt.gauges if g.relative_accuracy is not None]
    heavy = [g for g in known if abs(g.weight) >= LIGHT]
    if heavy:
        words.append(f"{_gauges(heavy)} An error of the gauge is in all its readings alike, so "
                     "more readings do not lessen it, and it is added here.")
    if len(known) < len(doubt.gauges):
        words.append(_not_known(doubt.gauges))
    return tuple(words)


def _gauges(known: list[GaugeShare]) -> str:
    told = []
    for g in known:
        limit = number_text(100.0 * (g.relative_accuracy or 0.0), digits=3)
        share = "" if len(known) == 1 else f", with {number_text(100 * g.weight, decimals=0)}" \
            f"{NBSP}% of the weight"
        told.append(f"{g.instrument or 'The gauge'} may be off by {limit}{NBSP}% of its reading"
                    f"{share}")
    return "; ".join(told) + "."


def _not_known(gauges: tuple[GaugeShare, ...]) -> str:
    named = [g.instrument for g in gauges if g.relative_accuracy is None and g.instrument]
    unnamed = any(g.relative_accuracy is None and not g.instrument for g in gauges)
    if named and not unnamed:
        return (f"How far {', '.join(named)} may be off is not on record, so it is counted as "
                "exact: enter its accuracy under Instruments.")
    return ("Some runs do not say what they were read with, or how far it may be off; their gauge "
            "is counted as exact. Name the instrument, and enter its accuracy.")


def radius_words(pack: Pack) -> str:
    """With which effective radius μ was fitted, and what the other one would make of it."""
    od, inner = pack.facing_od_mm, pack.facing_id_mm
    if od is None or inner is None:
        return ""
    wear = radius_uniform_wear(od.value / 2.0, inner.value / 2.0)
    pressure = radius_uniform_pressure(od.value / 2.0, inner.value / 2.0)
    share = number_text(100.0 * (float(pressure) / float(wear) - 1.0), digits=2)
    return (f"This μ belongs to the radius of run-in facings, "
            f"{with_unit(number_text(float(wear), digits=4), 'mm')}. With the radius of new, flat "
            f"facings, {with_unit(number_text(float(pressure), digits=4), 'mm')}, a board shows "
            f"{share}{NBSP}% more torque than was tested; leave a board with tested packs at run "
            "in.")


def against_words(fit: FrictionFit | None) -> str:
    """What to know before a μ is taken whose law the readings speak against; else nothing."""
    if fit is None or fit.p_proportional is None or fit.p_proportional >= UNLIKELY:
        return ""
    return ("These runs speak against torque proportional to clamp load, and μ is by that law: it "
            "is a middle that fits no number of springs well. Test with all springs fitted, or "
            "leave out the runs on which the plate could tilt, before you take it.")
