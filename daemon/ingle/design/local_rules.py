"""What some countries ask of electric room heating: short notes with their date, to be looked up, never relied on.

A table of data: a country's row is its ISO 3166-1 code. Notes are in our own words, from summaries of the texts or from
memory, and say so; rules change, and those of a town or a landlord are not here.
"""

from __future__ import annotations

from typing import Final

from ingle.model.ways import LocalRule

NOTES: Final[dict[str, tuple[LocalRule, ...]]] = {
    "DE": (
        LocalRule(
            says="Direct electric heating is allowed only where the insulation is better than required, by 45 % in a "
            "new building and 30 % in an existing one, with the proof kept for ten years; exchanging a single room "
            "heater is exempt.",
            source="Gebäudeenergiegesetz § 71d, from summaries",
            as_of="2024-01-01",
        ),
    ),
    "GB": (
        LocalRule(
            says="In England a fixed heating installation has effective controls, is commissioned, and its owner is "
            "told how to run it economically; the notice of commissioning customarily goes in within 30 days.",
            source="Building Regulations 2010, Part L and regulation 44, from summaries",
            as_of="2022-06-15",
        ),
    ),
}


def local_rules(country: str | None) -> tuple[LocalRule, ...]:
    """Return the notes on a country; none where none are known.

    >>> [rule.as_of for rule in local_rules("DE")], local_rules("NO"), local_rules(None)
    (['2024-01-01'], (), ())
    """
    return NOTES.get(country or "", ())
