"""What all tests share: Hypothesis without a clock, since other work may slow a machine down."""

from hypothesis import settings

settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")
