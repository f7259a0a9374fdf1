"""Trimscribe turns a paraglider service job into a plain-language report for the pilot."""
