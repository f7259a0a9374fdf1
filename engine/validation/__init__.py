"""Checks that the readers of jobs and of exports share: values with their places, and their sense.

values    what is right in a file after its schema was applied, and all faults in rounds
line_set  does a line set agree with itself            lengths   measured lengths, and slips in them
"""
