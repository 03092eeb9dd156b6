"""What a rendered page gets for the one who asked: tokens in its forms, no ways that are shut.

Both are done here and not in each template, so that no form can be forgotten and no page can offer
what would be refused. Typed text can't look like a tag, as every sign of it is escaped; links and
forms never stand inside one another.
"""

import html
import re
from collections.abc import Callable
from urllib.parse import urlsplit

from app.web.roles import NOBODY, needed_role
from app.web.visitor import MEMBER_BOX, TOKEN_BOX, Visitor

_FORM = re.compile(r'<form\b[^<>]*\bmethod="post"[^<>]*>')
_WHOLE_FORM = re.compile(
    r'<form\b[^<>]*\bmethod="post"[^<>]*\baction="([^"]*)"[^<>]*>.*?</form>', re.DOTALL
)
_LINK = re.compile(r'<a\b([^<>]*)\bhref="(/[^"]*)"([^<>]*)>(.*?)</a>', re.DOTALL)
_BUTTON = re.compile(r'\bclass="[^"]*\bbutton\b')


def dressed(text: str, visitor: Visitor) -> str:
    """The page as this visitor gets it; where nobody signs in, as it is.

    Before signing in every way stays: it leads through the sign-in page.
    """
    if not visitor.signs_in:
        return text
    if visitor.member is not None and not visitor.manages:
        text = without_shut_ways(text, visitor)
    member = "" if visitor.member is None else visitor.member.member
    return with_form_token(text, visitor.form_token, member)


def with_form_token(text: str, token: str, member: str = "") -> str:
    """The page whose every form that changes something sends the session's token along.

    Whose page it is goes with it, so that a form that comes after its session is kept for nobody
    else.
    """
    box = f'<input type="hidden" name="{TOKEN_BOX}" value="{token}">'
    if member:
        box += f'<input type="hidden" name="{MEMBER_BOX}" value="{html.escape(member)}">'
    return _FORM.sub(lambda form: form.group() + box, text) if token else text


def without_shut_ways(text: str, visitor: Visitor) -> str:
    """The page without forms and buttons that this visitor may not use; a link's text stays."""
    known: dict[tuple[str, str], bool] = {}

    def is_open(method: str, address: str) -> bool:
        key = (method, address)
        if key not in known:
            role = needed_role(method, urlsplit(html.unescape(address)).path)
            known[key] = role == NOBODY or visitor.may(role)
        return known[key]

    def form(found: re.Match[str]) -> str:
        return found.group() if is_open("POST", found[1]) else ""

    def link(found: re.Match[str]) -> str:
        before, address, after, inner = found.groups()
        if is_open("GET", address):
            return found.group()
        return "" if _BUTTON.search(before + after) else f"<span>{inner}</span>"

    steps: tuple[tuple[re.Pattern[str], Callable[[re.Match[str]], str]], ...] = (
        (_WHOLE_FORM, form),
        (_LINK, link),
    )
    for pattern, change in steps:
        text = pattern.sub(change, text)
    return text
