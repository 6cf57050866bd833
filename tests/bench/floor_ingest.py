"""The floor that ingest is compared with: paho and SQLite, nothing else.

MQTT 5, ReceiveMaximum 1000, manual acknowledgement after COMMIT, one writer thread, batches as ingle makes them,
one INSERT OR IGNORE a message. No checks, no live state, no roll-ups. Run by ``ingest.py`` as a process of its own.
"""

from __future__ import annotations

import queue
import sqlite3
import sys
import threading

import msgspec
import paho.mqtt.client as mqtt
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties


class Body(msgspec.Struct):
    """A reading's fields."""

    t: float
    boot: str
    seq: int
    power_w: float
    energy_wh: float
    temp_c: float


def main(port: int, path: str, batch_s: float, batch_rows: int) -> None:
    """Consume until killed."""
    waiting: queue.SimpleQueue[tuple[int, str, Body]] = queue.SimpleQueue()
    client = mqtt.Client(mqtt.CallbackAPIVersion.VERSION2, client_id="floor", protocol=mqtt.MQTTv5, manual_ack=True)
    decode = msgspec.json.Decoder(Body).decode

    def heard(_client: object, _data: object, message: mqtt.MQTTMessage) -> None:
        waiting.put((message.mid, message.topic, decode(message.payload)))

    def write() -> None:
        connection = sqlite3.connect(path, isolation_level=None)
        connection.execute("PRAGMA journal_mode=WAL").fetchone()
        connection.execute("PRAGMA synchronous=FULL").fetchone()
        connection.execute(
            "CREATE TABLE IF NOT EXISTS reading"
            "(heater TEXT, t REAL, boot TEXT, seq INT, power REAL, energy REAL, temp REAL, PRIMARY KEY(heater, t)) "
            "WITHOUT ROWID"
        )
        while True:
            batch = [waiting.get()]
            closing = threading.Event()
            timer = threading.Timer(batch_s, closing.set)
            timer.daemon = True
            timer.start()
            while len(batch) < batch_rows and not closing.is_set():
                try:
                    batch.append(waiting.get(timeout=0.05))
                except queue.Empty:
                    continue
            timer.cancel()
            connection.execute("BEGIN IMMEDIATE")
            connection.executemany(
                "INSERT OR IGNORE INTO reading VALUES (?,?,?,?,?,?,?)",
                [
                    (topic, body.t, body.boot, body.seq, body.power_w, body.energy_wh, body.temp_c)
                    for _, topic, body in batch
                ],
            )
            connection.execute("COMMIT")
            for mid, _, _ in batch:
                client.ack(mid, 1)

    threading.Thread(target=write, daemon=True).start()
    client.on_message = heard
    client.on_connect = lambda c, *_: c.subscribe("ingle/heater/+/reading", qos=1)
    connect = Properties(PacketTypes.CONNECT)
    connect.ReceiveMaximum = 1000
    connect.SessionExpiryInterval = 3600
    client.connect("127.0.0.1", port, clean_start=False, properties=connect)
    client.loop_start()
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    threading.Event().wait()


if __name__ == "__main__":
    main(int(sys.argv[1]), sys.argv[2], 1.0, 500)
