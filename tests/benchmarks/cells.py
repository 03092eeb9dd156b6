"""What a single cell's page works out: draws, changes, and the fit of friction to slip tests."""

from collections.abc import Iterator

import numpy as np
from scipy.optimize import minimize

from app.comparison.cell import evaluate
from app.comparison.changes import changes
from app.comparison.run import compare
from app.mechanics.inputs import State
from app.mechanics.slip_test import fit_friction
from tests.benchmarks.catalogue import engine_inputs, pack_inputs
from tests.benchmarks.table import Line, side_by_side
from tests.mechanics.slip_samples import PER_FRICTION, simulated

DRAWS = 200_000
STATE = State()
CLAMPS = (200.0, 300.0, 400.0, 600.0)


def lines() -> Iterator[Line]:
    """Milliseconds of each."""
    (pack, *_), (engine, *_) = pack_inputs(1), engine_inputs(1)
    doubtful = len(evaluate(pack, engine, STATE).shares)
    generator = np.random.default_rng(1)

    def bare_draws() -> None:
        product = np.ones(DRAWS)
        for _ in range(doubtful):
            product = product * (1.0 + 0.05 * generator.uniform(-1.0, 1.0, DRAWS))
        np.quantile(product, [0.025, 0.975])

    runs = simulated(lambda f: 0.1 * PER_FRICTION * f, CLAMPS, 6, 0.05, seed=1)
    clamp = np.repeat(CLAMPS, 6)
    torque = np.log(0.1 * PER_FRICTION * clamp) + generator.normal(0.0, 0.05, clamp.size)

    def bare_fit() -> None:
        def miss(guess: np.ndarray) -> float:
            off = (torque - guess[0] - guess[1] * np.log(clamp)) / np.exp(guess[2])
            return float(np.sum(0.5 * off * off + guess[2]))

        minimize(miss, [0.0, 1.0, -3.0])

    drawn, draws, steps, cell, fit, fitted = side_by_side(
        lambda: evaluate(pack, engine, STATE, DRAWS), bare_draws,
        lambda: changes(pack, engine, STATE, 1.2), lambda: compare([pack], [engine], STATE),
        lambda: fit_friction(runs), bare_fit)
    yield Line(f"cell with {DRAWS} draws", drawn * 1e3, "ms",
               f"a product of {doubtful} uniform factors", draws * 1e3)
    yield Line("changes that reach a ratio", steps * 1e3, "ms", "one comparison", cell * 1e3)
    yield Line("friction fit, three laws, profiles", fit * 1e3, "ms",
               "one general minimisation", fitted * 1e3)
