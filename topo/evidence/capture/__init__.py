"""USB captures: file blocks, the header each packet starts with, and what is added up of them. No payload is kept."""
