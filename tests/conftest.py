"""Settings for every test."""

from hypothesis import settings

# Time limits would make tests depend on the machine, and a fixed seed lets a failure be seen again anywhere.
settings.register_profile("house", deadline=None, derandomize=True)
settings.load_profile("house")
