"""The MQTT edge: bytes become values once on the way in, values become bytes once on the way out."""
