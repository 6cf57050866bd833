"""Money in the running daemon: costs, bills that outlive it, steps; all without numpy."""

from __future__ import annotations

import json
import urllib.error
import urllib.request
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from conftest import Broker
from harness import Daemon
from ingle.model.instants import to_ms
from ingle.store.connect import open_writer
from ingle.store.houses import save
from reports.lived import FIRST, HOUSE, SECOND, World


@pytest.fixture(name="db")
def _db(tmp_path: Path) -> Path:
    """Return the database of a house that lived through two bills."""
    path = tmp_path / "ingle.db"
    with closing(open_writer(path)) as conn:
        conn.execute("BEGIN IMMEDIATE")
        save(conn, HOUSE, who="Wenna Trask", why="survey", t_ms=to_ms(FIRST))
        world = World(conn)
        world.period(FIRST, 14)
        world.period(SECOND, 14, warm_c=22.0)
        conn.execute("COMMIT")
    return path


def send(daemon: Daemon, method: str, path: str, body: object = None, tag: str = "") -> tuple[int, Any, str]:
    """Ask the daemon, and return status, body and ETag."""
    headers = {"Content-Type": "application/json", **({"If-Match": tag} if tag else {})}
    data = None if body is None else json.dumps(body).encode()
    request = urllib.request.Request(daemon.page + path, data, headers, method=method)
    try:
        with urllib.request.urlopen(request, timeout=20) as answer:
            return answer.status, json.load(answer), answer.headers.get("ETag", "")
    except urllib.error.HTTPError as error:
        with error:
            return error.code, json.load(error), ""


def test_bills_outlive_the_daemon_and_numpy_stays_out(db: Path, broker: Broker) -> None:
    """Entered, corrected and explained in one life, found again in the next; numpy is mapped in neither."""
    with Daemon(db, "--broker", broker.url) as daemon:
        daemon.ready()
        found = daemon.get("/api/bills/2/why")
        assert max(found["steps"], key=lambda step: step["kwh"])["code"] == "warmer"
        assert daemon.get("/api/costs?from=2026-01-01&to=2026-01-14")["total"]
        assert daemon.get("/api/energy/compare?from=2026-01-29&to=2026-02-11&with_from=2026-01-01&with_to=2026-01-14")
        new = {"from": "2025-12-01", "to": "2026-01-01", "kwh": 812, "money": "250.10", "currency": "GBP"}
        status, _, tag = send(daemon, "POST", "/api/bills?who=Wenna%20Trask", new)
        assert status == 201
        assert send(daemon, "PUT", "/api/bills/3", {**new, "kwh": 821}, tag)[0] == 200
        assert send(daemon, "DELETE", "/api/bills/3", None, tag)[0] == 412
        assert "numpy" not in Path(f"/proc/{daemon.process.pid}/maps").read_text()
        assert daemon.stop() == 0
    with Daemon(db, "--broker", broker.url) as daemon:
        daemon.ready()
        assert daemon.get("/api/bills/3")["kwh"] == 821
        assert daemon.stop() == 0
