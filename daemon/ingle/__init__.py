"""ingle: a local supervisor for a home's electric room heaters."""

__version__ = "0.1.0"
