"""Slip tests of the made-up shop: the program's own law with scatter from a fixed seed.

Nobody measured any of them. The true μ of each pack is chosen here, the clamp load is that of the
pack's record, and each run and reading scatters as a bench does.
"""

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from app.comparison.slip_load import slip_load, with_springs
from app.documents import Instrument, SlipTest
from app.mechanics.inputs import PackInputs, State

SEED = 20261125
INVENTED = "Invented for the demonstration, by the program's own law with a fixed seed."
SCALE = "Tern Hollow spring scale"
WRENCH = "Tern Hollow torque arm"
RUN_SCATTER = 0.02
READING_SCATTER = 0.015

INSTRUMENTS = (
    Instrument(name=SCALE, range_low_nm=5.0, range_high_nm=60.0, relative_accuracy=0.03,
               resolution_nm=0.5, notes=INVENTED),
    Instrument(name=WRENCH, range_low_nm=20.0, range_high_nm=320.0, relative_accuracy=0.02,
               resolution_nm=1.0, notes=INVENTED),
)


@dataclass(frozen=True)
class MadeUpRun:
    """One run to make up: the pack's true μ, the springs fitted, what else is logged.

    Attributes:
        share: torque over that of the law, as where few springs let the plates rock.
        readings: how many.
    """

    pack: str
    mu: float
    springs: int
    instrument: str
    date: str
    readings: int = 3
    share: float = 1.0
    more: Mapping[str, Any] = field(default_factory=dict)


def _turns(n: int) -> str:
    return ("clockwise", "anticlockwise")[n % 2]


RUNS: tuple[MadeUpRun, ...] = (
    *(MadeUpRun("Sedge 5", 0.112, 4, SCALE, f"2026-10-0{n + 5}", more={"direction": _turns(n)})
      for n in range(4)),
    # Predicted at some 95 N·m, so the scale that ends at 60 can only say "at least".
    MadeUpRun("Bulrush 6", 0.121, 5, SCALE, "2026-10-12", 1),
    *(MadeUpRun("Bulrush 6", 0.121, 5, WRENCH, f"2026-10-1{n + 3}") for n in range(3)),
    *(MadeUpRun("Reed 8", 0.125, springs, WRENCH, f"2026-10-2{n}", 2,
                more={"direction": _turns(n)})
      for n, springs in enumerate((6, 6, 4, 4, 3, 3))),
    # On two springs the plates rock: a fifth of the torque is lost.
    *(MadeUpRun("Reed 8", 0.125, 2, WRENCH, f"2026-10-2{n + 6}", 2, 0.8) for n in range(2)),
    MadeUpRun("Reed 8", 0.125, 3, WRENCH, "2026-10-28", 2, 0.7,
              {"excluded": True, "excluded_reason": "The arm slid on its rest."}),
)


def made_up_tests(
    packs: Mapping[str, PackInputs], runs: Sequence[MadeUpRun] = RUNS, seed: int = SEED
) -> Iterator[tuple[MadeUpRun, SlipTest]]:
    """Every made-up run, oiled and sliding, with its document; pack and instrument by name.

    Args:
        packs: packs of the shop by name.
        runs: what to make up.
        seed: of the scatter; the same seed gives the same readings.
    """
    scatter = random.Random(seed)  # noqa: S311  # made-up readings, no secret
    state = State("oiled", "sliding")
    ends = {gauge.name: gauge.range_high_nm or 0.0 for gauge in INSTRUMENTS}
    steps = {gauge.name: gauge.resolution_nm or 1.0 for gauge in INSTRUMENTS}
    for number, run in enumerate(runs):
        load = slip_load(with_springs(packs[run.pack], run.springs), state)
        if load.clamp_n is None or load.surfaces is None or load.effective_radius_mm is None:
            raise ValueError(f"{run.pack} has no clamp load to make a run of")
        law = run.mu * load.surfaces * load.clamp_n * load.effective_radius_mm / 1000.0
        level = run.share * law * (1.0 + scatter.gauss(0.0, RUN_SCATTER))
        step, end = steps[run.instrument], ends[run.instrument]
        readings: list[dict[str, Any]] = []
        for _ in range(run.readings):
            torque = level * (1.0 + scatter.gauss(0.0, READING_SCATTER))
            shown = round(torque / step) * step
            readings.append({"at_least_nm": end} if torque > end else {"torque_nm": shown})
        raw = {
            "pack": run.pack, "instrument": run.instrument, "date": run.date,
            "by": "Tern Hollow bench", "lubrication": "oiled", "friction": "sliding",
            "springs_fitted": run.springs, "speed_rpm": 30.0,
            "temperature_c": float(22 + number % 5), "runs_since_assembly": number % 4,
            "readings": readings, "oil_on_plates": True, "heat": "cold", "facings": "new",
            "notes": INVENTED, **run.more,
        }
        yield run, SlipTest.model_validate(raw)
