"""Settings of the property tests."""

from hypothesis import settings

# How long an example takes says nothing about whether the law holds; benchmarks keep the time.
settings.register_profile("laws", deadline=None)
settings.load_profile("laws")
