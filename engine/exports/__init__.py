"""Exports of other tools: from bytes to values, and into jobs and line sets.

importers   built-in readers, one format a file     tables    files to cells, with their places
mapping     cells to values by an import map        guessing  an export understood without a map
editing     values into the text of a job or line set, every other byte unchanged
export      an export, its map and a line set: values and faults, nothing written
worked_out  all that an import comes to, as data    line_sets  line sets by path, job or words
"""
