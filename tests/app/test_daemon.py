"""The daemon as its users meet it: a process, a broker, a browser's requests, other people's clients."""

from __future__ import annotations

import json
import re
import socket
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

import pytest

from harness import SMALL_HOUSE, Daemon, Outside, ingle, until


def zone(daemon: Daemon, zone_id: str) -> dict[str, Any]:
    """Return one zone of GET /api/zones."""
    found: dict[str, Any] = next(z for z in daemon.get("/api/zones")["zones"] if z["id"] == zone_id)
    return found


def linked(daemon: Daemon) -> bool:
    """Whether the daemon says that its broker is there."""
    return bool(daemon.get("/api/house/now")["broker"] == "up")


def stored(db: Path) -> list[list[str]]:
    """Return the exported readings, row by row."""
    out = ingle("readings", "export", "--db", str(db))
    assert out.returncode == 0, out.stderr
    return [line.split(",") for line in out.stdout.splitlines()[1:]]


def test_a_reading_reaches_database_and_zone(broker: Any, outside: Outside, db: Path) -> None:
    """What a heater publishes is in the database and in GET /api/zones, with its quality."""
    with Daemon(db, "--broker", broker.url, "--clock", "trusted") as daemon:
        daemon.ready()
        until(lambda: linked(daemon), "the link is up")
        outside.publish(
            "ingle/heater/north-1/reading",
            {"boot": "b", "seq": 1, "power_w": 1200, "energy_wh": 500.5, "energy_is": "metered", "temp_c": 18.25},
        )
        until(lambda: zone(daemon, "north")["temp_c"] == 18.25, "the zone shows the temperature")
        shown = zone(daemon, "north")
        assert shown["power_w"] == 1200
        assert shown["quality"] == "metered"
        assert shown["reason"]
        until(lambda: len(stored(db)) == 1, "the reading is stored")
        assert "18.25" in stored(db)[0]


def test_orders_go_out_at_start(broker: Any, outside: Outside, db: Path) -> None:
    """Every driven heater gets an order at start: a number for the setpoint, bounded by the plate, expiring."""
    with Daemon(db, "--broker", broker.url, "--clock", "trusted") as daemon:
        daemon.ready()
        until(lambda: outside.wanted("north-1") and outside.wanted("south-1"), "both orders arrive")
        order = outside.wanted("south-1")
        assert order["setpoint_c"] == 16.0
        assert 0 <= order["limit_w"] <= 1500
        assert order["fallback_c"] == pytest.approx(7.0) or order["fallback_c"] <= 16.0
        assert order["valid_for_s"] == 1800
        assert "valid_until" in order


def test_an_override_over_http_reaches_the_heater_and_ends_by_release(broker: Any, outside: Outside, db: Path) -> None:
    """POST overrides -> wanted; release -> what the programme wants again."""
    with Daemon(db, "--broker", broker.url, "--clock", "trusted") as daemon:
        daemon.ready()
        until(lambda: outside.wanted("north-1"), "the first order")
        now = daemon.post("/api/zones/north/overrides", {"do": "override", "temp_c": 21.5, "for": "PT90M"})
        assert now["wanted_c"] == 21.5
        until(lambda: outside.wanted("north-1")["setpoint_c"] == 21.5, "the override reaches wanted")
        daemon.post("/api/zones/north/overrides", {"do": "release"})
        until(lambda: outside.wanted("north-1")["setpoint_c"] == 16.0, "the release reaches wanted")


def test_an_override_over_mqtt_is_answered_and_survives_a_kill(broker: Any, outside: Outside, db: Path) -> None:
    """A request on MQTT is answered, obeyed, and still in force after the daemon was killed."""
    with Daemon(db, "--broker", broker.url, "--clock", "trusted") as daemon:
        daemon.ready()
        until(lambda: outside.wanted("north-1"), "the first order")
        outside.publish("ingle/zone/north/request", {"do": "override", "temp_c": 19.5, "for": "PT90M"})
        until(lambda: outside.heard.get("ingle/zone/north/response"), "the answer")
        until(lambda: outside.wanted("north-1")["setpoint_c"] == 19.5, "the override reaches wanted")
        daemon.kill()
    with Daemon(db, "--broker", broker.url, "--clock", "trusted") as daemon:
        daemon.ready()
        assert zone(daemon, "north")["wanted_c"] == 19.5


def test_a_bad_request_over_http_is_a_problem_with_a_pointer(db: Path) -> None:
    """A temperature no room may have is refused, naming the member."""
    with Daemon(db) as daemon:
        daemon.ready()
        with pytest.raises(urllib.error.HTTPError) as refused:
            daemon.post("/api/zones/north/overrides", {"do": "override", "temp_c": 210})
        with refused.value as answer:
            assert answer.headers["Content-Type"].startswith("application/problem+json")
            problem = json.load(answer)
        assert problem["status"] == 422
        assert any(error["pointer"] == "/temp_c" for error in problem["errors"])


def test_it_starts_without_a_broker_and_finds_it_later(broker: Any, outside: Outside, db: Path) -> None:
    """With no broker the pages are up and say so; when the broker comes, orders go out."""
    outside.close()
    broker.stop()
    with Daemon(db, "--broker", broker.url, "--clock", "trusted") as daemon:
        daemon.ready()
        assert daemon.get("/api/house/now")["broker"] == "down"
        broker.start()
        until(lambda: linked(daemon), "the link comes up by itself", seconds=30)


@pytest.mark.parametrize("persistent", [True, False])
def test_a_broker_restart_is_survived(broker: Any, db: Path, *, persistent: bool) -> None:
    """After the broker was killed, with or without persistence, orders and readings flow again by themselves."""
    broker.stop()
    broker.settings = "persistence true\nautosave_interval 1\nautosave_on_changes true" if persistent else ""
    broker.start()
    with Daemon(db, "--broker", broker.url, "--clock", "trusted") as daemon:
        daemon.ready()
        until(lambda: linked(daemon), "the link is up")
        broker.stop(kill=True)
        until(lambda: not linked(daemon), "the loss is noticed")
        broker.start()
        until(lambda: linked(daemon), "the link is back", seconds=30)
        outside = Outside(broker.port)
        until(lambda: outside.wanted("north-1"), "the orders are there again")
        outside.publish("ingle/heater/north-1/reading", {"temp_c": 17.5, "seq": 9, "boot": "c"})
        until(lambda: zone(daemon, "north")["temp_c"] == 17.5, "readings flow again")
        outside.close()


def test_a_stop_saves_everything_within_ten_seconds(broker: Any, outside: Outside, db: Path) -> None:
    """SIGTERM with open event streams: exit 0, the last reading stored, the link said down."""
    with Daemon(db, "--broker", broker.url, "--clock", "trusted") as daemon:
        daemon.ready()
        until(lambda: linked(daemon), "the link is up")
        host, port = daemon.page.removeprefix("http://").split(":")
        streams = [socket.create_connection((host, int(port))) for _ in range(8)]
        for stream in streams:
            stream.sendall(f"GET /api/events HTTP/1.1\r\nHost: {host}:{port}\r\n\r\n".encode())
            assert stream.recv(64).startswith(b"HTTP/1.1 200")
        outside.publish("ingle/heater/north-1/reading", {"temp_c": 17.75, "seq": 1, "boot": "z"})
        until(lambda: zone(daemon, "north")["temp_c"] == 17.75, "the reading is live")
        assert daemon.stop() == 0
        for stream in streams:
            stream.close()
    until(lambda: outside.heard.get("ingle/supervisor/link") == "down", "the link is said to be down")
    assert any("17.75" in row for row in stored(db))


def test_garbage_leaves_no_traceback_and_no_harm(broker: Any, outside: Outside, db: Path) -> None:
    """Malformed, huge, deep and non-finite payloads are counted, the daemon lives, the log holds no traceback."""
    nasty: list[bytes] = [
        b"",
        b"\xff\xfe\x00",
        b"{",
        b"[" * 3000,
        b'{"temp_c": NaN}',
        b'{"temp_c": 1e999}',
        b'{"temp_c": true}',
        b'{"temp_c": "warm"}',
        b'{"energy_wh": -5}',
        b'{"temp_c": 1000}',
        b"x" * 100_000,
        json.dumps({"t": "yesterday", "temp_c": 20}).encode(),
    ]
    with Daemon(db, "--broker", broker.url, "--clock", "trusted") as daemon:
        daemon.ready()
        until(lambda: linked(daemon), "the link is up")
        for payload in nasty:
            for topic in ("heater/north-1/reading", "outdoor/reading", "zone/north/request", "heater/north-1/link"):
                outside.publish(f"ingle/{topic}", payload)
        outside.publish("ingle/heater/unheard-of/reading", {"temp_c": 20})
        outside.publish("ingle/heater/north-1/reading", {"temp_c": 18.5, "seq": 1, "boot": "ok"})
        until(lambda: zone(daemon, "north")["temp_c"] == 18.5, "a good reading still gets through")
        assert daemon.stop() == 0
    log = daemon.log.read_text()
    assert "Traceback" not in log
    assert [line for line in log.splitlines() if not re.match(r"(INFO|WARNING|ERROR) ingle\.", line)] == []


def test_retained_requests_are_refused(broker: Any, outside: Outside, db: Path) -> None:
    """A request that lies retained at the broker when the daemon connects is not obeyed, and is named."""
    outside.publish("ingle/zone/north/request", {"do": "override", "temp_c": 25, "for": "PT1H"}, retain=True)
    with Daemon(db, "--broker", broker.url, "--clock", "trusted") as daemon:
        daemon.ready()
        until(lambda: linked(daemon), "the link is up")
        until(lambda: any("request" in str(n) for n in daemon.get("/api/notices")["notices"]), "it is named")
        assert zone(daemon, "north")["wanted_c"] == 16.0


def test_a_second_daemon_on_the_same_database_is_refused(db: Path) -> None:
    """The lock says that a daemon has the database; the second one ends with 3 and a sentence."""
    with Daemon(db) as daemon:
        daemon.ready()
        second = ingle("serve", "--db", str(db), "--listen", "127.0.0.1:0")
        assert second.returncode == 3
        assert "Traceback" not in second.stderr
        assert second.stderr.strip()


@pytest.mark.parametrize("listen", ["0.0.0.0:0", "[::]:0", "192.168.1.4:8470"])
def test_an_address_that_others_reach_is_refused_before_anything_is_made(tmp_path: Path, listen: str) -> None:
    """It is a wrong input (2) with a sentence on what to do instead, and leaves no database behind."""
    result = ingle("serve", "--db", str(tmp_path / "new.db"), "--listen", listen)
    assert result.returncode == 2
    assert "listen on 127.0.0.1" in result.stderr
    assert len(result.stderr.splitlines()) == 1
    assert list(tmp_path.iterdir()) == []


def test_verbs_that_write_go_through_the_running_daemon(db: Path, tmp_path: Path) -> None:
    """`house load` while the daemon runs makes a revision that the daemon serves at once."""
    changed = tmp_path / "changed.toml"
    changed.write_text(SMALL_HOUSE.replace("North room", "North parlour"))
    with Daemon(db) as daemon:
        daemon.ready()
        loaded = ingle("house", "load", str(changed), "--db", str(db), "--why", "a better name")
        assert loaded.returncode == 0, loaded.stderr
        assert zone(daemon, "north")["name"] == "North parlour"
        bad = tmp_path / "bad.toml"
        bad.write_text(SMALL_HOUSE.replace("floor_area_m2 = 12.0", "floor_area_m2 = -1", 1))
        refused = ingle("house", "load", str(bad), "--db", str(db))
        assert refused.returncode == 2
        assert "floor_area_m2" in refused.stderr
        assert zone(daemon, "north")["name"] == "North parlour"
        history = json.loads(ingle("house", "history", "--json", "--db", str(db)).stdout)
        assert "a better name" in json.dumps(history)


def test_the_serving_process_never_loads_numpy(db: Path) -> None:
    """Verdicts are computed in a child; numpy is not mapped into the daemon, even after it was asked for them."""
    with Daemon(db) as daemon:
        daemon.ready()
        assert {z["verdict"] for z in daemon.get("/api/verdicts")["zones"]} == {"cannot-say-yet"}
        assert "numpy" not in Path(f"/proc/{daemon.process.pid}/maps").read_text()


def test_an_empty_database_is_served(tmp_path: Path) -> None:
    """`serve` on nothing makes a database, and the pages say what to do next."""
    with Daemon(tmp_path / "new.db") as daemon:
        daemon.ready()
        assert daemon.get("/api/zones") == {"zones": []}
        with urllib.request.urlopen(daemon.page + "/healthz") as answer:
            assert answer.status == 200
