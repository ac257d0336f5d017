"""How well a lick and a song answer each other, note by note."""
