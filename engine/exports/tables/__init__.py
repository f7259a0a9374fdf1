"""Files to cells: text with columns and spreadsheets, each cell with its place.

JSON is read by its importer alone.

text_table    CSV and its kin           survey  may a workbook be opened, and what the library
workbook      XLSX and ODS                      does not say of its cells
old_workbook  XLS                       limits  how large is too large
"""
