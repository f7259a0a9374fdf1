"""Landlock: which files a process may still open, by its own word and for good (Linux 5.13 on).

Own code, since no library for it was found that is kept well: those on PyPI are trials of one
person. It is three calls of the kernel, described in its documentation (userspace-api/landlock).
Where the kernel lacks them, or some of what can be given up, the rest is given up.
"""

import ctypes
import os
import stat
import struct
import sys
from collections.abc import Iterable
from typing import Any

# From <linux/landlock.h> and <asm-generic/unistd.h>, whose numbers hold on these machines.
_MACHINES = ("x86_64", "aarch64", "armv7l", "i686", "ppc64le", "s390x", "riscv64", "loongarch64")
_CREATE, _ADD, _RESTRICT = 444, 445, 446
_VERSION, _PATH_BENEATH = 1, 1
_WRITE_FILE, _READ_FILE, _READ_DIR = 1 << 1, 1 << 2, 1 << 3
_TRUNCATE, _DEVICES = 1 << 14, 1 << 15
_FIRST = (1 << 13) - 1  # what the first version knows, from running programs to making links
_RENAME = 1 << 13
_READ = _READ_FILE | _READ_DIR
_OF_FILES = _WRITE_FILE | _READ_FILE | _TRUNCATE
# What may be written to in a folder: files and folders, made, filled, renamed and removed.
_WRITE = _READ | _WRITE_FILE | 1 << 4 | 1 << 5 | 1 << 7 | 1 << 8 | _RENAME | _TRUNCATE


def shut_files(reads: Iterable[str], writes: Iterable[str]) -> bool:
    """Let this thread, and all that it starts, read below `reads` and write below `writes` alone.

    No program can be started any more either. What does not exist is passed over. Files that are
    open stay so. Returns whether the system does it; to be called while there is one thread.
    """
    if sys.platform != "linux" or os.uname().machine not in _MACHINES:
        return False
    system: Any = ctypes.CDLL(None, use_errno=True)
    version = system.syscall(_CREATE, None, 0, _VERSION)
    if version < 1:
        return False
    every = _FIRST | _RENAME * (version > 1) | _TRUNCATE * (version > 2) | _DEVICES * (version > 4)
    # From version 4 on connections, from 6 on processes outside and sockets without a file.
    fields = (every, 3, 3)[: 1 + (version > 3) + (version > 5)]
    wanted = struct.pack(f"={len(fields)}Q", *fields)
    rules = system.syscall(_CREATE, wanted, len(wanted), 0)
    if rules < 0:
        return False
    try:
        for rights, paths in ((_READ, reads), (_WRITE, writes)):
            for path in paths:
                _allow(system, rules, path, rights & every)
        return int(system.syscall(_RESTRICT, rules, 0)) == 0
    finally:
        os.close(rules)


def _allow(system: Any, rules: int, path: str, rights: int) -> None:
    try:
        place = os.open(path, os.O_PATH | os.O_CLOEXEC)
    except OSError:
        return
    try:
        if not stat.S_ISDIR(os.fstat(place).st_mode):
            rights &= _OF_FILES
        rule = struct.pack("=Qi", rights, place)
        system.syscall(_ADD, rules, _PATH_BENEATH, rule, 0)
    finally:
        os.close(place)
