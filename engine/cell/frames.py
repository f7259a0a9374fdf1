"""How tasks and answers travel through a pipe: a length, and that many bytes.

The owner is trusted, and its tasks name functions. A worker has read strangers' bytes: what it
answers may hold Trimscribe's own dataclasses, named tuples and enumerations, plain values, dates
and paths. No function is ever called for it, whatever the bytes say.
"""

import dataclasses
import enum
import io
import pickle
import struct
import sys
from pathlib import Path, PosixPath, PurePath, PurePosixPath, PureWindowsPath, WindowsPath
from typing import Any, BinaryIO

MOST = 512_000_000  # bytes of one answer
_LENGTH = struct.Struct(">Q")
_PLAIN = {
    ("builtins", "frozenset"),
    ("builtins", "set"),
    ("builtins", "complex"),
    ("collections", "OrderedDict"),
    ("datetime", "date"),
    ("datetime", "datetime"),
    ("datetime", "timedelta"),
    ("datetime", "timezone"),
    ("decimal", "Decimal"),
    ("types", "MappingProxyType"),
    # Each Python has them in a module of another name.
    *((kind.__module__, kind.__name__) for kind in (Path, PosixPath, WindowsPath)),
    *((kind.__module__, kind.__name__) for kind in (PurePath, PurePosixPath, PureWindowsPath)),
}


def write_frame(pipe: BinaryIO, data: bytes) -> None:
    """Send some bytes whole."""
    pipe.write(_LENGTH.pack(len(data)))
    pipe.write(data)
    pipe.flush()


def read_frame(pipe: BinaryIO) -> bytes:
    """The next bytes; raises EOFError when the other end is gone or says nonsense."""
    head = pipe.read(_LENGTH.size)
    if len(head) < _LENGTH.size:
        raise EOFError
    (length,) = _LENGTH.unpack(head)
    if length > MOST:
        raise EOFError
    data = pipe.read(length)
    if len(data) < length:
        raise EOFError
    return data


def plain(value: object) -> bytes:
    """A value as bytes; mappings that cannot be changed become ones that can."""
    out = io.BytesIO()
    _Packer(out, pickle.HIGHEST_PROTOCOL).dump(value)
    return out.getvalue()


def data_of(data: bytes) -> Any:
    """What a worker has answered; raises EOFError for anything that is not data."""
    try:
        return _Reader(io.BytesIO(data)).load()
    except Exception as error:  # whatever hostile bytes make it stumble over
        raise EOFError from error


class _Packer(pickle.Pickler):
    def reducer_override(self, value: Any) -> Any:
        if type(value).__name__ == "mappingproxy":
            return dict, (), None, None, iter(value.items())
        if type(value).__module__.partition(".")[0] == "numpy" and hasattr(value, "item"):
            return type(value.item()), (value.item(),)
        return NotImplemented


def _holds_data(kind: type) -> bool:
    """Whether a class is a dataclass, an enumeration or a tuple with names."""
    named = issubclass(kind, tuple) and hasattr(kind, "_fields")
    return dataclasses.is_dataclass(kind) or issubclass(kind, enum.Enum) or named


class _Reader(pickle.Unpickler):
    def find_class(self, module: str, name: str) -> Any:
        if (module, name) in _PLAIN:
            return super().find_class(module, name)
        if (module, name) in {("builtins", kind) for kind in ("dict", "float", "int", "bool")}:
            return super().find_class(module, name)
        if module.partition(".")[0] == "trimscribe" or module in sys.modules:
            found = super().find_class(module, name)
            ours = isinstance(found, type) and found.__module__.partition(".")[0] == "trimscribe"
            if ours and _holds_data(found):
                return found
        raise pickle.UnpicklingError(f"{module}.{name} is not data")
