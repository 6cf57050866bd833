"""The database's shape, as migrations that are only ever appended to.

Each migration is a name and its statements; its place in the list is the schema's version, kept in
``PRAGMA user_version``. This file is plain data, so that the serving process can ask for the version without loading
what runs the migrations (``migrate``).

How readings lie on disk:

* ``reading`` is keyed by series and time without a rowid, so that a span of one series is one stretch of the file.
  Numbers are scaled integers (``readings.SCALES``): two or three bytes each, exact to far below any sensor's doubt.
* ``boot`` and ``seq`` are 0 unless the source numbered its readings with both; a second index then makes
  (series, boot, seq) unique, because a repeated delivery without a time of its own arrives under another one.
* ``installation`` holds an id made with the database, by which the broker knows the daemon's session again.
* ``dirty`` names the quarter-hours whose roll-ups no longer follow from the readings; it is written in the
  transaction that brings the readings, so a crash can lose neither without the other.
"""

from __future__ import annotations

from typing import NamedTuple


class Migration(NamedTuple):
    """A step from one version of the schema to the next."""

    name: str
    statements: tuple[str, ...]


MIGRATIONS: tuple[Migration, ...] = (
    Migration(
        "readings-and-house",
        (
            """CREATE TABLE series (
                id INTEGER PRIMARY KEY,
                kind TEXT NOT NULL,
                name TEXT NOT NULL,
                has_energy INTEGER NOT NULL DEFAULT 0,
                UNIQUE (kind, name)
            )""",
            "CREATE TABLE boot (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE)",
            """CREATE TABLE reading (
                series INTEGER NOT NULL,
                t INTEGER NOT NULL,
                boot INTEGER NOT NULL,
                seq INTEGER NOT NULL,
                late INTEGER,
                power INTEGER,
                energy INTEGER,
                voltage INTEGER,
                temp INTEGER,
                setpoint INTEGER,
                humidity INTEGER,
                irradiance INTEGER,
                wind INTEGER,
                flags INTEGER NOT NULL,
                rest TEXT,
                PRIMARY KEY (series, t, boot, seq)
            ) WITHOUT ROWID""",
            "CREATE UNIQUE INDEX reading_numbered ON reading (series, boot, seq) WHERE boot > 0",
            "CREATE TABLE dirty (series INTEGER, bucket INTEGER, PRIMARY KEY (series, bucket)) WITHOUT ROWID",
            """CREATE TABLE quarter (
                series INTEGER, bucket INTEGER, energy REAL, covered INTEGER NOT NULL, temp REAL,
                temps INTEGER NOT NULL, count INTEGER NOT NULL, quality INTEGER NOT NULL,
                PRIMARY KEY (series, bucket)
            ) WITHOUT ROWID""",
            """CREATE TABLE day (
                series INTEGER, bucket INTEGER, energy REAL, covered INTEGER NOT NULL, temp REAL,
                temps INTEGER NOT NULL, count INTEGER NOT NULL, quality INTEGER NOT NULL,
                PRIMARY KEY (series, bucket)
            ) WITHOUT ROWID""",
            "CREATE TABLE plate (kind TEXT, name TEXT, rated_w REAL NOT NULL, PRIMARY KEY (kind, name)) WITHOUT ROWID",
            """CREATE TABLE revision (
                number INTEGER PRIMARY KEY AUTOINCREMENT, t INTEGER NOT NULL, who TEXT NOT NULL, why TEXT NOT NULL,
                digest TEXT NOT NULL, design_version TEXT NOT NULL, document TEXT NOT NULL
            )""",
            """CREATE TABLE lifetime (
                kind TEXT NOT NULL, name TEXT NOT NULL, zone TEXT NOT NULL, start INTEGER NOT NULL, finish INTEGER
            )""",
            "CREATE INDEX lifetime_open ON lifetime (kind, name) WHERE finish IS NULL",
            """CREATE TABLE event (
                id INTEGER PRIMARY KEY AUTOINCREMENT, t INTEGER NOT NULL, kind TEXT NOT NULL, subject TEXT NOT NULL,
                data TEXT NOT NULL
            )""",
            """CREATE TABLE hold (
                id INTEGER PRIMARY KEY, zone TEXT, held TEXT NOT NULL, until INTEGER NOT NULL, ended INTEGER
            )""",
            "CREATE INDEX hold_open ON hold (until) WHERE ended IS NULL",
        ),
    ),
    Migration(
        "installation",
        (
            "CREATE TABLE installation (id TEXT NOT NULL)",
            "INSERT INTO installation VALUES (lower(hex(randomblob(8))))",
        ),
    ),
    Migration(
        "heating-tests",
        (
            """CREATE TABLE heating_test (
                number INTEGER PRIMARY KEY AUTOINCREMENT, test TEXT NOT NULL, open INTEGER NOT NULL DEFAULT 1,
                result TEXT
            )""",
        ),
    ),
    Migration(
        "forecasts",
        (
            """CREATE TABLE forecast (
                number INTEGER PRIMARY KEY AUTOINCREMENT, made INTEGER NOT NULL, start INTEGER NOT NULL,
                finish INTEGER NOT NULL, document TEXT NOT NULL
            )""",
            """CREATE TRIGGER forecast_unchanged BEFORE UPDATE ON forecast
                BEGIN SELECT RAISE(ABORT, 'a forecast is never changed'); END""",
            """CREATE TRIGGER forecast_kept BEFORE DELETE ON forecast
                BEGIN SELECT RAISE(ABORT, 'a forecast is never deleted'); END""",
            "CREATE INDEX event_about ON event (kind, subject, t)",
        ),
    ),
    Migration(
        "prices-and-bills",
        (
            """CREATE TABLE price (
                series TEXT NOT NULL, start INTEGER NOT NULL, finish INTEGER NOT NULL, per_kwh TEXT NOT NULL,
                PRIMARY KEY (series, start)
            ) WITHOUT ROWID""",
            "CREATE TABLE bill (number INTEGER PRIMARY KEY AUTOINCREMENT, document TEXT NOT NULL)",
        ),
    ),
    Migration(
        "looks",
        (
            """CREATE TABLE look (
                number INTEGER PRIMARY KEY AUTOINCREMENT, t INTEGER NOT NULL, digest TEXT NOT NULL,
                design_version TEXT NOT NULL, method_version INTEGER NOT NULL, document TEXT NOT NULL
            )""",
            """CREATE TRIGGER look_unchanged BEFORE UPDATE ON look
                BEGIN SELECT RAISE(ABORT, 'a verdict is never changed'); END""",
            """CREATE TRIGGER look_kept BEFORE DELETE ON look
                BEGIN SELECT RAISE(ABORT, 'a verdict is never deleted'); END""",
        ),
    ),
    Migration(
        "people",
        (
            """CREATE TABLE person (
                id TEXT PRIMARY KEY, name TEXT NOT NULL, role TEXT NOT NULL, zones TEXT NOT NULL,
                since INTEGER NOT NULL, ended INTEGER, password TEXT NOT NULL
            ) WITHOUT ROWID""",
            """CREATE TABLE proof (
                number INTEGER PRIMARY KEY AUTOINCREMENT, person TEXT NOT NULL REFERENCES person (id),
                kind TEXT NOT NULL, label TEXT NOT NULL, digest TEXT NOT NULL UNIQUE, made INTEGER NOT NULL,
                until INTEGER NOT NULL, used INTEGER NOT NULL, ended INTEGER
            )""",
            "CREATE INDEX proof_open ON proof (until) WHERE ended IS NULL",
        ),
    ),
)

VERSION = len(MIGRATIONS)
