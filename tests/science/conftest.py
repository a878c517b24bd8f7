"""Property tests here look for wrong numbers, not for slow ones: the machine may be busy."""

from hypothesis import settings

settings.register_profile("science", deadline=None)
settings.load_profile("science")
