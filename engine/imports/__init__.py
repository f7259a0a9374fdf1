"""What stands around an import: jobs and line sets that it is written into, and maps it needs.

exports       an export, its map and a line set: values and faults, nothing written
lay           values into the text of a job or line set, every other byte unchanged
edit          single edits of YAML text                  yaml_text   values as YAML
skeleton      new jobs and line sets, with comments       line_sets   a folder of them, searched
propose       a map guessed from an export, with reasons
"""
