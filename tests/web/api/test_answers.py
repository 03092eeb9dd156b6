"""The described shapes are those of the answers: each is read back with nothing left over."""

from typing import Any

import pytest
from pydantic import BaseModel, ConfigDict
from starlette.testclient import TestClient

from app.web.api import answers
from tests.web.api.written import CLAMPS, ENGINE, PACK, STATE

POINTS = [{"deflection_mm": 4, "force_n": 40}, {"deflection_mm": 8, "force_n": 81}]


def strict(model: type[BaseModel]) -> type[BaseModel]:
    """The model, refusing keys that it does not describe."""
    return type("Strict", (model,), {"model_config": ConfigDict(extra="forbid")})


@pytest.mark.parametrize("kind", sorted(CLAMPS))
@pytest.mark.parametrize("draws", [None, 200])
def test_an_evaluation_has_the_described_shape(
    reader: TestClient, kind: str, draws: int | None
) -> None:
    question: dict[str, Any] = {
        "pack": {**PACK, "clamp": CLAMPS[kind], "unheard": 1},
        "engine": ENGINE,
        "state": STATE,
        "monte_carlo": draws,
    }
    answer = reader.post("/api/v1/evaluate", json=question).json()
    found = strict(answers.Evaluation).model_validate(answer)
    assert found.model_dump(exclude_unset=True) == answer


def test_a_rate_has_the_described_shape(reader: TestClient) -> None:
    for points in (POINTS, [*POINTS, {"deflection_mm": 12, "force_n": 120}]):
        answer = reader.post("/api/v1/spring-rate", json={"load_points": points}).json()
        found = strict(answers.SpringRate).model_validate(answer)
        assert found.model_dump(exclude_unset=True) == answer
