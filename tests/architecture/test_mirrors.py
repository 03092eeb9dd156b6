"""Every module with code has its tests at the same place: app/x/y.py in tests/x/test_y.py."""

import ast

from tests.architecture.tree import ROOT, project_files

# Modules whose code is tested elsewhere, and where.
ELSEWHERE = {
    "app/__main__.py": "two lines that call the command line; tests/test_cli.py runs it",
    "app/fields/__init__.py": "the catalogue's front door; tests/test_fields.py",
    "app/fields/bench.py": "a list of figures; tests/test_fields.py reads every one",
    "app/fields/clamp.py": "a list of figures; tests/test_fields.py reads every one",
    "app/fields/engine.py": "a list of figures; tests/test_fields.py reads every one",
    "app/fields/pack.py": "a list of figures; tests/test_fields.py reads every one",
}


def has_code(source: str) -> bool:
    """Whether a module holds more than a docstring, imports and a list of names."""
    def plain(node: ast.stmt) -> bool:
        text = isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
        names = isinstance(node, ast.Assign) and all(
            isinstance(t, ast.Name) and t.id == "__all__" for t in node.targets)
        return text or names or isinstance(node, ast.Import | ast.ImportFrom)

    return not all(plain(node) for node in ast.parse(source).body)


def mirror(module):
    inside = module.relative_to(ROOT / "app")
    return ROOT / "tests" / inside.parent / f"test_{inside.name}"


def modules():
    found = [p for p in project_files(".py") if p.is_relative_to(ROOT / "app")]
    return {p.relative_to(ROOT).as_posix(): p for p in found
            if has_code(p.read_text(encoding="utf-8"))}


def test_every_module_with_code_has_its_mirror():
    lacking = [name for name, path in modules().items()
               if not mirror(path).exists() and name not in ELSEWHERE]
    assert lacking == [], "write the mirrored test, or say in ELSEWHERE where the code is tested"


def test_the_list_of_exceptions_names_what_is_there_and_needs_it():
    for name in ELSEWHERE:
        assert name in modules(), name
        assert not mirror(ROOT / name).exists(), name


def test_a_module_of_names_only_holds_no_code():
    assert not has_code('"""Front."""\nfrom a import b\nimport c\n__all__ = ["b"]\n')
    assert has_code("LIMIT = 1\n")
    assert has_code("def f(): ...\n")
