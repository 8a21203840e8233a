"""Tickets: only the holder of the owner key can make one, and it ends."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from service.web.visits import VISIT_S, Visits

NOW = 1_800_000_000.0


def visits(owner_key: str | None = "right key", *, at: float = NOW) -> Visits:
    return Visits(owner_key, clock=lambda: at)


def test_a_ticket_is_good_until_the_visit_ends() -> None:
    ticket = visits().ticket()
    assert visits(at=NOW + VISIT_S - 1).is_good(ticket)
    assert not visits(at=NOW + VISIT_S).is_good(ticket)


def test_another_process_with_the_same_key_knows_the_ticket() -> None:
    assert visits().is_good(visits().ticket())


def test_a_new_owner_key_ends_every_visit() -> None:
    assert not visits("new key").is_good(visits("right key").ticket())


def test_a_ticket_cannot_be_made_to_last_longer() -> None:
    ends, _, signature = visits().ticket().partition(".")
    assert not visits().is_good(f"{int(ends) + 1}.{signature}")


@settings(max_examples=200)
@given(st.text(max_size=120))
def test_no_text_is_a_ticket_by_chance(text: str) -> None:
    assert not visits().is_good(text)


@settings(max_examples=100)
@given(st.integers(0, 75), st.characters(codec="ascii", categories=["L", "N"]))
def test_one_altered_character_spoils_a_ticket(position: int, symbol: str) -> None:
    ticket = visits().ticket()
    altered = ticket[:position] + symbol + ticket[position + 1 :]
    assert visits().is_good(altered) == (altered == ticket)


def test_only_the_owner_key_is_the_owner_key() -> None:
    assert visits().is_owner_key(" right key ")
    assert not visits().is_owner_key("right ke")
    assert not visits().is_owner_key("")
    assert not visits(None).is_owner_key("")
