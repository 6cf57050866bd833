"""A command comes in, from any face, or the tick: check, keep, decide, hand wants to the publisher."""
