"""Files to cells: text with columns, spreadsheets and JSON, each cell with its place.

text_table        CSV and its kin            survey      may a workbook be opened, and what the
workbook          XLSX and ODS                           library does not say of its cells
old_workbook      XLS                        json_table  records of a JSON file
limits            how large is too large
"""
