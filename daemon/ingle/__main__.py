"""Entry point of ``python -m ingle`` and of the ``ingle`` script."""

from __future__ import annotations

from ingle.cli import main

if __name__ == "__main__":
    main()
