"""Reports: what was found, in words for a person and in JSON for scripts. Nothing is computed or judged here."""
