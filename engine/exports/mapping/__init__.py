"""Import maps: cells to lengths and records.

load   a map file, checked                     extract    bytes to values, by the importer that can
plan   the map as data                         take       tables to readings and records
forms  `{row}{point} {side}`                   normalise  readings to lengths in mm, each with where
find   where a table is in a sheet                        it goes
cells  numbers and labels of single cells
"""
