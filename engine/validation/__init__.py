"""Checks that the readers of jobs and of exports share, each of whose faults joins a `FaultList`.

line_set  does a line set agree with itself            lengths   measured lengths, and slips in them
"""
