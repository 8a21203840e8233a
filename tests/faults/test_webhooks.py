"""The process that took a step is killed: its notice arrives all the same, and twice with one id at the worst."""

from __future__ import annotations

import dataclasses
import json
import sys
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from schemas.webhooks import WebhookRequest
from service.store.database import Database
from service.work.reorder import list_reorders
from service.work.webhook_sending import HOLDS, send_one
from service.work.webhooks import add_webhook, list_deliveries
from tests.faults.processes import Running
from tests.large_kit import open_large
from tests.small_kit import NUMBER_U2, issue_small, release_all
from tests.webhooks.receiver import receiving

KILLED = -9


@pytest.mark.parametrize(("when", "times"), [("unsent", 1), ("unsettled", 2)])
def test_a_notice_survives_the_process_that_wrote_it(tmp_path: Path, when: str, times: int) -> None:
    url, vault = f"sqlite:///{tmp_path / 'kitwright.db'}", str(tmp_path / "vault")
    with closing(Database(url)) as database:
        database.migrate()
    shop = open_large(url, vault)
    release_all(shop)
    issue_small(shop)
    with receiving() as receiver:
        hook = add_webhook(shop, WebhookRequest(url=receiver.url, name="planning"), loopback=True)
        command = [sys.executable, "-m", "tests.faults.notice_runner", url, vault, NUMBER_U2, when]
        assert Running(command, {}).wait(timeout_s=120) == KILLED
        assert [row.state for row in list_reorders(shop, after=None, limit=9)] == ["decided"], "the step is on record"
        (notice,) = list_deliveries(shop, hook.id, after=None, limit=9)
        assert (notice.state, notice.tries) == ("waiting", 0)
        # What the dead process had taken is free again once it must be gone.
        freed = (datetime.now(UTC) + HOLDS).strftime("%Y-%m-%dT%H:%M:%SZ")
        later = dataclasses.replace(shop, now=lambda: freed)
        if when == "unsettled":
            assert not send_one(shop, loopback=True), "it may still be at it"
        assert send_one(later, loopback=True)
        assert not send_one(later, loopback=True)
        assert [json.loads(one.body)["state"] for one in receiver.notices] == ["decided"] * times
        assert {one.headers["Kitwright-Delivery"] for one in receiver.notices} == {str(notice.id)}
    (notice,) = list_deliveries(shop, hook.id, after=None, limit=9)
    assert notice.state == "delivered"
    shop.exact.close()
    shop.database.close()
