"""Values into the text of jobs and line sets; every comment and every other byte stays.

merge        what an import changes in a file      edit       single edits of YAML text
plain_merge  the same rule on plain data           yaml_text  values as YAML
skeleton     new jobs and line sets, commented     target     the file that values go to
plan_text    a proposed retrim in the text of a job
"""
