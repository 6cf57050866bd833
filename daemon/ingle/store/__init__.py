"""All SQL lives here: one writer thread with one writing connection, readers apart.

Rows become values on the way out and values become rows on the way in; nobody outside sees a column.
"""
