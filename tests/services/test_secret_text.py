import pytest

from app.services.secret_text import (
    digest,
    form_token,
    new_code,
    new_session_id,
    new_token,
    plain_code,
    same,
)


def test_secrets_are_long_and_never_twice_the_same() -> None:
    for make, bits in ((new_session_id, 256), (new_token, 256), (new_code, 120)):
        found = {make() for _ in range(200)}
        assert len(found) == 200
        signs = {sign for text in found for sign in text.removeprefix("gripledger_")}
        assert (
            len(min(found, key=len).replace("-", "")) * (len(signs).bit_length() - 1) >= bits - 24
        )


@pytest.mark.parametrize("change", [str.upper, lambda c: c.replace("-", " "), lambda c: f" {c}\n"])
def test_a_code_is_read_however_it_was_typed(change: object) -> None:
    code = new_code()
    assert plain_code(change(code)) == code  # type: ignore[operator]


def test_what_is_kept_does_not_hold_the_secret() -> None:
    secret = new_session_id()
    assert secret not in digest(secret)
    assert len(digest(secret)) == 64
    assert digest(secret) != digest(new_session_id())


def test_a_form_token_belongs_to_one_session_and_does_not_give_it_away() -> None:
    one, other = new_session_id(), new_session_id()
    assert form_token(one) == form_token(one) != form_token(other)
    assert one not in form_token(one)
    # Nor is it what the database keeps of the id: who reads that can make no form token.
    assert form_token(one) != digest(one)


@pytest.mark.parametrize(
    ("one", "other", "is_same"),
    [("a", "a", True), ("a", "b", False), ("", "a", False), ("é\ud800", "e", False)],
)
def test_secrets_are_compared_whole(one: str, other: str, is_same: bool) -> None:
    assert same(one, other) is is_same
