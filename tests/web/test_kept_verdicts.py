from types import SimpleNamespace

from starlette.responses import Response

from app.errors import StorageUnavailable
from app.web.kept_verdicts import HEADER, keep_exported
from tests.apart import run_apart


class Shown:
    """Something to keep, that notes that it was."""

    def __init__(self, large: bool = False, full: bool = False) -> None:
        self.large, self.full, self.keys = large, full, []

    def keep(self, _engine: object, way: str, *, by: str, version: str, key: str) -> str:
        if self.full:
            raise StorageUnavailable("the disk is full")
        assert version
        self.keys.append((way, by, key))
        return key


REQUEST = SimpleNamespace(app=SimpleNamespace(state=SimpleNamespace(engine=None)))


def test_an_export_is_kept_before_it_goes_out_and_says_where() -> None:
    shown, answer = Shown(), Response()
    keep_exported(REQUEST, answer, shown, "Ann")
    ((way, by, key),) = shown.keys
    assert (way, by, answer.headers[HEADER]) == ("csv", "Ann", f"/verdicts/{key}")
    assert answer.background is None


async def _run(answer: Response) -> None:
    assert answer.background is not None
    await answer.background()


def test_a_very_large_one_is_kept_after_it_went_out() -> None:
    shown, answer = Shown(large=True), Response()
    keep_exported(REQUEST, answer, shown, "Ann")
    assert shown.keys == []
    run_apart(_run, answer)
    assert answer.headers[HEADER] == f"/verdicts/{shown.keys[0][2]}"


def test_a_full_disk_is_noted_and_the_figures_go_out() -> None:
    answer = Response()
    keep_exported(REQUEST, answer, Shown(full=True), "Ann")
    assert HEADER not in answer.headers
