"""Importers: exports of other tools to lengths, one format per file."""
