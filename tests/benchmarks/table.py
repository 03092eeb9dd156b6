"""The table that the benchmarks print: each figure beside its reference of the same run."""

import statistics
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass

HEADINGS = ("what", "value", "reference", "ratio", "target", "reached")


@dataclass(frozen=True)
class Line:
    """One figure: seconds (or another unit), its reference and the most that their ratio may be.

    `least` turns the target round: the reference must be so many times as long at least. `more`
    is for rates: the value must be so many times the reference at least.
    """

    name: str
    value: float
    unit: str
    reference: str = ""
    against: float | None = None
    most: float | None = None
    least: float | None = None
    more: float | None = None
    note: str = ""

    @property
    def ratio(self) -> float | None:
        """Value over reference, or reference over value where the target is a least one."""
        if self.against is None:
            return None
        return self.against / self.value if self.least is not None else self.value / self.against

    @property
    def reached(self) -> str:
        """Yes, no, or nothing where there is no target."""
        floor = self.least if self.more is None else self.more
        if self.ratio is None or (self.most is None and floor is None):
            return ""
        enough = self.ratio >= floor if floor is not None else self.ratio <= (self.most or 0.0)
        return "yes" if enough else "no"

    def texts(self) -> tuple[str, ...]:
        """The line's cells."""
        target = "" if self.most is None else f"≤ {self.most:g} ×"
        target = target if self.least is None else f"≥ {self.least:g} × quicker"
        target = target if self.more is None else f"≥ {self.more:g} ×"
        against = "" if self.against is None else f"{self.reference}: {self.against:.4g}"
        ratio = "" if self.ratio is None else f"{self.ratio:.2f}"
        return (self.name, f"{self.value:.4g} {self.unit}", against or self.note, ratio, target,
                self.reached)


def table_text(lines: Iterable[Line]) -> str:
    """Lines as a table in plain text, its columns aligned."""
    rows = [HEADINGS, *(line.texts() for line in lines)]
    widths = [max(len(row[i]) for row in rows) for i in range(len(HEADINGS))]
    rows.insert(1, tuple("-" * width for width in widths))
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    )


def side_by_side(
    *jobs: Callable[[], object], rounds: int = 7
) -> tuple[float, ...]:
    """Median processor seconds of each job, in turns, so that others' load is shared."""
    taken: list[list[float]] = [[] for _ in jobs]
    for _ in range(rounds):
        for times, job in zip(taken, jobs, strict=True):
            start = time.process_time()
            job()
            times.append(time.process_time() - start)
    return tuple(statistics.median(times) for times in taken)
