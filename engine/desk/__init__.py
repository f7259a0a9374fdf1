"""The desk: one job, theme or export at a time, worked on where it can do no harm.

    wish    what is asked, and what is answered      work    what a worker does (`trimscribe.cell`)

The process that a person has started hands over names and puts what comes back on the disk. It asks
for the work by its name, and never loads what reads a stranger's bytes.
"""
