"""The ground: plain functions on numbers, with units, source and a worked example each. Nothing here knows a house."""
