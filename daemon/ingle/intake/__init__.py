"""A reading comes in: is it bound, is it plausible, is it live? Then it is kept, and the state of now learns of it."""

from ingle.intake.intake import Intake

__all__ = ["Intake"]
