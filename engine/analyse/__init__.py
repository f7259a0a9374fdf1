"""Analyse: a job to findings, in numbers only."""
