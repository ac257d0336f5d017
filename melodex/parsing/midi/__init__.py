"""A reader of Standard MIDI Files, which infers the written rhythm from what was played."""
