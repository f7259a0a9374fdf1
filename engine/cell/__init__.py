"""The cell: child processes in which all work on strangers' bytes is done.

    crew      the workers of one owner: tasks out, answers back, limits kept from outside
    child     what runs in a worker, from its first line to its last
    confine   what a worker gives up before it reads anything
    frames    how tasks and answers travel; an answer can be data and nothing else
    once      one piece of work in a worker that stays warm for the next

YAML, tables, templates, pictures, Typst and PDFium are libraries that a file can make hang, grow or
crash, and nothing inside a process can stop a library that does not return. So the process that a
person has started hands work out and writes results; a worker reads, computes and answers, within
limits of time and memory, and is killed when it is over them.
"""

from trimscribe.cell.crew import Crew, Limits, Stop
from trimscribe.cell.once import SINGLE, SerialWorker, fault_of, in_cell

__all__ = ["SINGLE", "Crew", "Limits", "SerialWorker", "Stop", "fault_of", "in_cell"]
