"""The composition root: builds the parts, starts them in order, stops them in reverse."""
