"""Offers what Trimscribe offers itself."""

from trimscribe.exports.importers.csv import importer as importer
