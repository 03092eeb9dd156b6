"""The least role that each address asks for, in one table: the one place where access is decided.

An address that nobody thought of is read by viewers and written by editors.
"""

from collections.abc import Callable
from dataclasses import dataclass

SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS", "TRACE"})
"""They change nothing, whoever sends them."""

NOBODY = "nobody"
"""Open before signing in."""


@dataclass(frozen=True)
class Rule:
    """Addresses, by exact path or by what they begin with, and the role that they ask for."""

    role: str
    paths: frozenset[str] = frozenset()
    beneath: tuple[str, ...] = ()
    methods: Callable[[str], bool] = lambda _: True

    def covers(self, method: str, path: str) -> bool:
        """Whether the rule is about this request."""
        return self.methods(method) and (path in self.paths or path.startswith(self.beneath))


def _is_post(method: str) -> bool:
    return method == "POST"


def _is_safe(method: str) -> bool:
    return method in SAFE_METHODS


QUESTIONS = frozenset(
    f"/api/v1/{name}"
    for name in ("evaluate", "spring-rate", "changes", "launch", "friction-fit", "test-plan")
)
"""Answered out of the request alone: they are sent by POST and store nothing."""

RULES = (
    Rule(NOBODY, frozenset({"/sign-in", "/setup"})),
    Rule(NOBODY, frozenset({"/healthz"}), ("/static/", "/libraries/"), _is_safe),
    Rule("viewer", frozenset({"/sign-out", "/me"}), ("/me/",)),
    Rule("viewer", QUESTIONS, methods=_is_post),
    Rule("admin", frozenset({"/members", "/settings"}), ("/members/", "/settings/")),
    Rule("admin", frozenset({"/about/backup", "/classes/edit"})),
    Rule("admin", frozenset({"/photos/put-aside"}), ("/photos/put-aside/",)),
)

FORMS = ("/new", "/edit", "/copy")
"""Pages whose address ends so are forms: no use to those who may not save them."""


def role_to_take_back(noun: str) -> str:
    """The least role for taking a change back: the one that it takes to make it.

    >>> role_to_take_back("pack"), role_to_take_back("setting")
    ('editor', 'admin')
    """
    return "admin" if noun in ("setting", "member") else "editor"


def needed_role(method: str, path: str) -> str:
    """The least role for a request.

    >>> [needed_role(m, p) for m, p in (("GET", "/packs"), ("GET", "/packs/new"), ("POST", "/x"))]
    ['viewer', 'editor', 'editor']
    """
    for rule in RULES:
        if rule.covers(method, path):
            return rule.role
    return "viewer" if method in SAFE_METHODS and not path.endswith(FORMS) else "editor"
