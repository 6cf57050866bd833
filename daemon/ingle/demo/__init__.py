"""A simulated house for a first look: broker, heaters with physics, weeks of history, hidden flaws."""
