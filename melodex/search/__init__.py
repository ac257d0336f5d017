"""Which songs use a lick."""
