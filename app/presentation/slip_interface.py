"""Slip-test results as the JSON interface writes them."""

from dataclasses import asdict
from typing import Any

from app.comparison.slip_plan import SlipPlan
from app.mechanics.slip_laws import Estimate, LawFit
from app.mechanics.slip_test import FrictionFit
from app.presentation.cautions import CAUTIONS
from app.presentation.interface import reading

# In the order of the work: the stack is taken apart, the rig turns, something lets go.
TEST_CAUTIONS = (
    "spring", "retaining-ring", "turning-parts", "chuck-key", "spindle", "wrench", "slip-test",
    "hot", "dust", "oil",
)


def estimate(figure: Estimate | None) -> dict[str, float | None] | None:
    """{value, std, low, high}; null in it where a doubt can't be known."""
    return None if figure is None else asdict(figure)


def _law(fit: LawFit) -> dict[str, Any]:
    known = {
        "law": fit.law,
        "mu": estimate(fit.mu),
        "exponent": estimate(fit.exponent),
        "lost_load_n": estimate(fit.lost_load_n),
    }
    return {name: part for name, part in known.items() if part is not None} | {
        "sigma": fit.sigma, "log_likelihood": fit.log_likelihood, "aicc": fit.aicc,
    }


def mu_doubt(answer: FrictionFit) -> dict[str, Any] | None:
    """Parts of the doubt of the μ for the comparison, as standard uncertainties of μ [1]."""
    mu, doubt = answer.mu_for_comparison, answer.doubt
    if mu is None or doubt is None:
        return None
    return {
        "scatter_std": mu.value * doubt.scatter,
        "gauge_std": mu.value * doubt.gauge,
        "together_std": mu.value * doubt.together,
        "gauges": [
            {"instrument": g.instrument or None, "relative_accuracy": g.relative_accuracy,
             "weight": g.weight}
            for g in doubt.gauges
        ],
    }


def friction_fit(answer: FrictionFit) -> dict[str, Any]:
    """The law taken at the top, all laws compared below it."""
    compared: list[dict[str, Any]] = [_law(fit) for fit in answer.compared]
    compared += [{"law": name, "not_fitted": why} for name, why in answer.not_fitted]
    return _law(answer.fit) | {
        "compared": compared,
        "p_proportional": answer.p_proportional,
        "mu_for_comparison": estimate(answer.mu_for_comparison),
        "mu_doubt": mu_doubt(answer),
        "residuals": [asdict(r) for r in answer.residuals],
        "readings": answer.readings,
        "exact_readings": answer.exact,
        "clamp_levels": answer.levels,
        "reference_clamp_n": answer.reference_clamp_n,
        "words": list(answer.words),
    }


def test_plan(plan: SlipPlan) -> dict[str, Any]:
    """Predictions by springs, every link's limit, heat, arm force, cautions."""
    return {
        "by_springs": [
            {
                "springs": case.springs,
                "balanced": case.balanced,
                "predicted_nm": reading(case.predicted),
                "weakest": case.weakest,
                "utilisation": case.utilisation,
            }
            for case in plan.cases
        ],
        "recommended_springs": plan.recommended_springs,
        "links": [asdict(link) for link in plan.links],
        "power_w": plan.power_w,
        "temperature_rise_k": plan.temperature_rise_k,
        "longest_run_s": plan.longest_run_s,
        "arm_force_n": plan.arm_force_n,
        "words": list(plan.words),
        "cautions": [CAUTIONS[key].text for key in TEST_CAUTIONS],
    }
