"""Text files become values here, once, and every fault of a file is said at once."""
