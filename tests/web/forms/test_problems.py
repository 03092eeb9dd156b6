import pytest

from app.web.forms.problems import document, from_validation, response, title


def test_a_document_has_the_members_of_the_standard() -> None:
    body = document(404, "There is no pack 7.", "/api/v1/packs/7", reference="AB")
    assert body == {
        "type": "about:blank",
        "title": "Not Found",
        "status": 404,
        "detail": "There is no pack 7.",
        "instance": "/api/v1/packs/7",
        "reference": "AB",
    }
    assert response(body).status_code == 404
    assert response(body).media_type == "application/problem+json"


def test_a_status_that_has_no_name_still_has_a_title() -> None:
    assert title(499) == "Error"


@pytest.mark.parametrize(
    ("location", "kind", "field"),
    [
        (("body",), "missing", ""),
        (("body", "pack", "name"), "missing", "pack.name"),
        (("query", "limit"), "int_parsing", "limit"),
    ],
)
def test_a_validator_s_finding_is_one_problem_of_its_field(
    location: tuple[str, ...], kind: str, field: str
) -> None:
    error = {"loc": location, "type": kind, "msg": "said by the validator", "input": None}
    (problem,) = from_validation([error, error], {"pack": {}})
    assert problem.field == field
    assert problem.message
