"""Offers what Trimscribe offers itself."""

from trimscribe.read.importers.csv import importer as importer
