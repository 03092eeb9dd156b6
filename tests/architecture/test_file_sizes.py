"""A file that fits in the head: no file of ours above the limit, wherever it lies."""

from tests.architecture.tree import ROOT, project_files

MOST_LINES = 400


def lines_of(path):
    return len(path.read_text(encoding="utf-8").splitlines())


def test_no_file_is_longer_than_the_limit():
    files = project_files(".py", ".js", ".css", ".html")
    assert {path.suffix for path in files} == {".py", ".js", ".css", ".html"}
    long = {p.relative_to(ROOT).as_posix(): lines_of(p) for p in files if lines_of(p) > MOST_LINES}
    assert long == {}, "find the seam and split"


def test_the_longest_file_is_counted_to_its_last_line(tmp_path):
    long = tmp_path / "long.py"
    long.write_text("x = 1\n" * (MOST_LINES + 1), encoding="utf-8")
    assert lines_of(long) == MOST_LINES + 1
