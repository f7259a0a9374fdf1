"""What a worker gives up before it reads anything; as much as the system lets anybody give up.

Everywhere: its environment (the owner hands it none), sockets in Python. On Linux also: more memory
than its limit, core dumps, gaining rights by starting a program, and every network but a loopback
of its own; and, before its first task, all files but those of Python's installation and of that
task's world (by Landlock). What a system refuses is left out: the limits that the
owner keeps from outside hold anywhere, and that nothing else is read is the door's affair as well.
"""

import contextlib
import ctypes
import os
import stat
import struct
import sys
from collections.abc import Iterable, Iterator
from typing import Any

if sys.platform != "win32":
    import resource

_UNUSED_MB = 250
_LARGEST_FILE = 600_000_000  # bytes that a worker may write to one file
# From <linux/prctl.h> and <linux/sched.h>.
_NO_NEW_PRIVILEGES, _NEW_USER, _NEW_NETWORK = 38, 0x10000000, 0x40000000


def confine(memory_mb: float) -> None:
    """Give up what the work does not need; to be called while the process has one thread."""
    sys.addaudithook(_refuse_sockets)
    if sys.platform == "win32":
        return
    _limit(resource.RLIMIT_CORE, 0)
    _limit(resource.RLIMIT_FSIZE, _LARGEST_FILE)
    if sys.platform == "linux":
        # What can be written to counts, whether it is used or not: stacks of threads among it.
        _limit(resource.RLIMIT_DATA, int((memory_mb + _UNUSED_MB) * 2**20))
        _give_up_rights()


def shut_in(reads: Iterable[str], writes: Iterable[str]) -> bool:
    """Give up all files but these, and what Python and its libraries need, where that is possible.

    For good, and for all threads that are started later. Whatever has to write where nothing else
    may, such as what compiles Python, has to be done before.
    """
    return _shut_files([*_installation(), *reads], [*writes, "/dev/null"])


def _installation() -> Iterator[str]:
    """What a process reads that has read no file of anybody: code, libraries, zones, chance."""
    yield from (sys.prefix, sys.base_prefix, sys.exec_prefix, *filter(None, sys.path))
    for finder in sys.meta_path:  # packages that are installed editable, by setuptools
        named = sys.modules.get(getattr(finder, "__module__", None) or "")
        yield from map(str, getattr(named, "MAPPING", {}).values())
    yield from ("/lib", "/lib64", "/usr/lib", "/usr/lib64", "/usr/local/lib", "/nix/store")
    yield from ("/usr/share/zoneinfo", "/usr/share/locale", "/etc/localtime", "/etc/ld.so.cache")
    yield from ("/dev/urandom", "/proc/self")
    # Which fonts there are, found once by matplotlib; without it they are searched each time.
    yield os.environ.get("MPLCONFIGDIR") or os.path.expanduser("~/.cache/matplotlib")


def limit_time(seconds: float) -> None:
    """Let the system end this process once it has computed for so long from now.

    The owner is quicker; this is for a worker whose owner was killed.
    """
    if sys.platform != "win32":
        used = resource.getrusage(resource.RUSAGE_SELF)
        _limit(resource.RLIMIT_CPU, int(used.ru_utime + used.ru_stime + seconds) + 2)


def _give_up_rights() -> None:
    with contextlib.suppress(OSError, AttributeError):
        system: Any = ctypes.CDLL(None, use_errno=True)
        system.prctl(_NO_NEW_PRIVILEGES, 1, 0, 0, 0)
        user, group = os.geteuid(), os.getegid()
        if system.unshare(_NEW_USER | _NEW_NETWORK) == 0:
            # Its own names for its user and group: the same as outside.
            for name, text in (
                ("setgroups", "deny"),
                ("uid_map", f"{user} {user} 1"),
                ("gid_map", f"{group} {group} 1"),
            ):
                with contextlib.suppress(OSError), open(f"/proc/self/{name}", "w") as file:
                    file.write(text)


def _limit(kind: int, most: int) -> None:
    """Hold this process to a limit; where the system refuses it, work is done without."""
    if sys.platform != "win32":
        with contextlib.suppress(OSError, ValueError):
            _, hard = resource.getrlimit(kind)
            soft = most if hard == resource.RLIM_INFINITY else min(most, hard)
            resource.setrlimit(kind, (soft, hard))


def _refuse_sockets(event: str, _: tuple[Any, ...]) -> None:
    if event in ("socket.connect", "socket.bind", "socket.sendto", "socket.getaddrinfo"):
        raise PermissionError("There is no network here.")


# Landlock by its three calls of the kernel (userspace-api/landlock), since no library for it was
# found that is kept well. Where the kernel lacks some of what can be given up, the rest is.
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


def _shut_files(reads: Iterable[str], writes: Iterable[str]) -> bool:
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
