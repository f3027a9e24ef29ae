"""Property tests are timed by nobody: the first one in a process also makes the gas tables."""

from hypothesis import settings

settings.register_profile("calculations", deadline=None)
settings.load_profile("calculations")
