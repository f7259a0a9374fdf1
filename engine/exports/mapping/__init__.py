"""Import maps: cells to lengths and records.

load      a map file, checked               find       where a table is in a sheet
plan      the map as data                   cells      numbers and labels of single cells
forms     `{row}{point} {side}`             extract    bytes to values, table by table
result    what became of every cell         normalise  readings to lengths in mm
"""
