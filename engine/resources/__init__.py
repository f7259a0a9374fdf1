"""The one door to files that jobs, shop files and themes name, and a look at pictures.

What comes through lies below (or, for a job's tables, beside) the folder that names it, is not a
link, has a known type and is within the size limit. Nothing is fetched from a network.
"""
