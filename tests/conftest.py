"""How tests that draw their cases run: never timed; in the same order each time where that is asked for."""

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.register_profile("repeated", deadline=None, derandomize=True)
settings.load_profile("untimed")
