"""A lick carried into another song: where it fits, and under which fingers."""
