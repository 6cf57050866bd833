"""Questions asked of the store and the pure rooms, answered as values or as text for a person."""
