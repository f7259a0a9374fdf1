"""Values into the text of jobs and line sets; every comment and every other byte stays.

merge     what an import changes in a file      edit       single edits of YAML text, and the same
skeleton  new jobs and line sets, commented                rule on plain data
plan_text a proposed retrim in a job            yaml_text  values as YAML
"""
