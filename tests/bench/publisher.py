"""A flood of readings at QoS 1: ``publisher.py PORT COUNT BOOT``."""

from __future__ import annotations

import json
import sys
import threading
import time

import paho.mqtt.client as mqtt
from common import HEATERS


def main(port: int, count: int, boot: str) -> None:
    """Publish and wait for the last acknowledgement."""
    done = threading.Event()
    acknowledged = [0]

    def counted(*_: object) -> None:
        acknowledged[0] += 1
        if acknowledged[0] == count:
            done.set()

    client = mqtt.Client(mqtt.CallbackAPIVersion.VERSION2, client_id="bench-publisher")
    client.max_inflight_messages_set(500)
    client.max_queued_messages_set(0)
    client.on_publish = counted
    client.connect("127.0.0.1", port)
    client.loop_start()
    start = time.time() - count  # noqa: TID251 - the heaters' own clocks
    for number in range(count):
        heater = number % HEATERS + 1
        body = {
            "t": round(start + number, 3),
            "boot": boot,
            "seq": number,
            "power_w": 700.0,
            "energy_wh": round(1000 + number * 0.02, 2),
            "temp_c": 19.5,
        }
        client.publish(f"ingle/heater/heater-{heater}/reading", json.dumps(body), qos=1)
    if not done.wait(120):
        raise SystemExit("the broker did not acknowledge everything")
    client.disconnect()
    client.loop_stop()


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]), sys.argv[3])
