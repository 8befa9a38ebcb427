"""One setting for every property test: none is timed, since a busy machine is no defect."""

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
