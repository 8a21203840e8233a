"""The chain of the ledger against the standards it is made of, and against values that other programs computed."""

from __future__ import annotations

import hashlib

import pytest

from service.store.chain import GENESIS, canonical_json, event_sha256


def test_the_hash_of_three_letters() -> None:
    # FIPS 180-4, the example of SHA-256 that NIST publishes beside it: one block, "abc".
    expected = "ba7816bf 8f01cfea 414140de 5dae2223 b00361a3 96177a9c b410ff61 f20015ad".replace(" ", "")
    assert hashlib.sha256(b"abc").hexdigest() == expected


def test_the_sample_object_of_the_canonical_form() -> None:
    # RFC 8785 section 3.2.2, the sample; 3.2.3 and 3.2.4, what becomes of it.
    sample = {
        "numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001],
        "string": "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"/",
        "literals": [None, True, False],
    }
    text = canonical_json(sample)
    assert text == (
        '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    )
    assert text.encode().hex(" ").startswith("7b 22 6c 69 74 65 72 61 6c 73 22 3a 5b 6e 75 6c 6c 2c 74 72")


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        # printf '%s' '{"actor":"assembler","after":"{\"segments\":4}", …}' | sha256sum, and openssl dgst -sha256.
        (
            {
                "id_": 1,
                "at": "2026-03-09T08:15:00Z",
                "actor": "assembler",
                "verb": "issue",
                "subject": "OSV4-FC1-A500",
                "before": None,
                "after": '{"segments":4}',
                "previous": GENESIS,
            },
            "3340ee78a24ceefd096d2bfe835918e2c857ec28ba6c0aaf8388797971074857",
        ),
    ],
)
def test_the_hash_of_a_row_as_other_programs_compute_it(row: dict[str, object], expected: str) -> None:
    assert event_sha256(**row) == expected  # type: ignore[arg-type]  # arguments by name


def test_a_row_can_be_computed_again_with_nothing_but_its_documentation() -> None:
    # Written from the module's description alone: members in the order of their names, no blanks, UTF-8.
    text = (
        '{"actor":"desk","after":null,"at":"2026-04-01T10:00:00Z","before":"{\\"name\\":\\"Größe\\"}","id":2,'
        f'"previous":"{"a" * 64}","subject":"container A500","verb":"correct"}}'
    )
    assert hashlib.sha256(text.encode("utf-8")).hexdigest() == event_sha256(
        id_=2,
        at="2026-04-01T10:00:00Z",
        actor="desk",
        verb="correct",
        subject="container A500",
        before='{"name":"Größe"}',
        after=None,
        previous="a" * 64,
    )
