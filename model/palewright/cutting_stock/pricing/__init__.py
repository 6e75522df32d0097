"""The best pattern for given prices: one-stage and three-stage guillotine cuts."""
