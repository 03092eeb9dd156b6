"""The label of a pack: what it leads to, and what stands beside the code."""

import re

from app.presentation.label import code_of
from tests.web.routes.conftest import PACK, Shop


def test_a_label_leads_to_the_pack_under_the_name_it_was_asked_for(shop: Shop) -> None:
    pack = shop.save("/packs/new", PACK)
    assert f'href="{pack}/label"' in shop.get(pack)
    text = shop.get(f"{pack}/label")
    address = re.search(r'It leads to <a href="([^"]+)"', text)
    assert address
    assert address[1].endswith(pack)
    assert code_of(address[1]).path in text
    assert f'<p class="label-name">{PACK["name"]}</p>' in text
    assert "No phone reaches this address." in text


def test_there_is_no_label_of_a_pack_that_does_not_exist(shop: Shop) -> None:
    assert shop.client.get("/packs/zzzzzzzzzz/label").status_code == 404
