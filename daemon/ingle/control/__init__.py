"""Pure rules: what a programme wants at an instant, how a supply is shared, what is decided and why."""
