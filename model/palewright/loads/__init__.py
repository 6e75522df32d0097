"""Loads: what a box weighs, what its boards and screws carry, how wood moves, what tips it.

General guidance after published formulas; no design approval. Local code and licensed practice
decide. Forces are N, stresses MPa (N/mm²), lengths mm, masses kg.
"""
