"""How well a lick and a song match, note by note."""
