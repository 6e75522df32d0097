"""Proofs without a plan: no fewer boards will do."""
