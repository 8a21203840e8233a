"""After signing in a reader goes on to a page of this service and nowhere else."""

from __future__ import annotations

from urllib.parse import urljoin, urlsplit

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.web.front import download, local_address

HERE = "http://127.0.0.1:8000/sign-in"
LURES = st.lists(
    st.sampled_from(
        ["/", "\\", "//", "evil.example", "http:", "https://", "@", "?", "#", "..", "\t", "\n", "%2f", "s"]
    ),
    max_size=8,
).map("".join)


@settings(max_examples=200)
@given(LURES | st.text(max_size=40))
def test_the_way_on_never_leads_to_another_host(address: str) -> None:
    # A browser drops tabs and line breaks from an address and takes a backslash for a slash.
    as_browsers_read = local_address(address).replace("\\", "/").replace("\t", "").replace("\n", "").replace("\r", "")
    assert urlsplit(urljoin(HERE, as_browsers_read)).netloc == "127.0.0.1:8000"


@pytest.mark.parametrize("address", ["/", "/shop", "/desk/segments/OSV4-FC1-A500-SW2-U3-42?mark=K7M4XRAW"])
def test_a_page_of_this_service_is_kept(address: str) -> None:
    assert local_address(address) == address


@pytest.mark.parametrize("name", ['a"b.pdf', "a\r\nX-Header: 1.pdf", "Kühler.dxf", "../../etc/passwd"])
def test_the_name_of_a_download_cannot_break_its_header(name: str) -> None:
    header = download(b"", media_type="application/pdf", name=name).headers["content-disposition"]
    assert header.isascii()
    assert header.count('"') == 2
    assert not set("\r\n/\\") & set(header)
