"""Who asks for a page, and what they may: for handlers, for templates, for the history."""

from dataclasses import dataclass

from starlette.requests import Request

from app.errors import NotForRole
from app.records.members import ROLES
from app.services.sign_in import SignedIn

TOKEN_BOX = "form_token"  # noqa: S105  # the name of a box, no secret
MEMBER_BOX = "form_member"
"""Name of the box that says whose page a form stands on; who asks is never taken from it."""
TOKEN_HEADER = "Gripledger-Form-Token"  # noqa: S105  # the name of a header, no secret
_SCOPE = "visitor"


@dataclass(frozen=True)
class Visitor:
    """Who asks.

    Attributes:
        signs_in: whether anybody has to sign in here: not on a computer's own address.
        member: who is signed in, if somebody is.
        form_token: what every form of this session sends along; "" where none is needed.
    """

    signs_in: bool
    member: SignedIn | None = None
    form_token: str = ""

    @property
    def name(self) -> str:
        """The member's name, "" for nobody."""
        return "" if self.member is None else self.member.name

    @property
    def inside(self) -> bool:
        """Whether pages with records are open."""
        return self.may("viewer")

    @property
    def edits(self) -> bool:
        """Whether records may be added and changed."""
        return self.may("editor")

    @property
    def manages(self) -> bool:
        """Whether people and settings may be changed."""
        return self.may("admin")

    def may(self, role: str) -> bool:
        """Whether the visitor may do what this role may."""
        if not self.signs_in:
            return True
        return self.member is not None and ROLES.index(self.member.role) >= ROLES.index(role)


def visitor_of(request: Request) -> Visitor:
    """Who asks; before the way in was looked at, nobody where sign-in is needed."""
    found: Visitor | None = request.scope.get(_SCOPE)
    return found or Visitor(signs_in=request.app.state.require_sign_in)


def refuse_below(request: Request, role: str) -> None:
    """Stop where the role depends on more than the address.

    Raises:
        NotForRole: the visitor may not do what this role may.
    """
    visitor = visitor_of(request)
    if visitor.member is not None and not visitor.may(role):
        raise NotForRole(role, visitor.member.role)


def peer(request: Request) -> str:
    """The address that a request came from."""
    return request.client.host if request.client else "unknown"


def set_visitor(request: Request, visitor: Visitor) -> None:
    """Have the rest of the request know who asks."""
    request.scope[_SCOPE] = visitor
