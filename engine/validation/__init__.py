"""Checks that the readers of jobs and of exports share: values with their places, and their sense.

values    what is right in a file after its schema was applied, and all faults in rounds
line_set  does a line set agree with itself            lengths   measured lengths by line
slips     lengths that are off by a power of ten, or by more than any line set can be
"""
