"""Place a lick in another song: where it fits, and how to finger it."""
