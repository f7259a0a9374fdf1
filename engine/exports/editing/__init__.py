"""Values into the text of jobs and line sets; every comment and every other byte stays.

merge        what an import changes in a file      edit       single edits of YAML text
plain_merge  the same rule on plain data           yaml_text  values as YAML
skeleton     new jobs and line sets, commented     plan_text  a proposed retrim in a job
"""
