"""Themes that ship with Trimscribe."""
