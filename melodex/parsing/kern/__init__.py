"""A reader of Humdrum files with **kern spines."""
