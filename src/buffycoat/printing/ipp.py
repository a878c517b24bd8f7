"""Messages of the Internet Printing Protocol, as bytes. RFC 8010 says how they are written, RFC 8011 what they mean."""

import struct
from collections.abc import Iterable
from dataclasses import dataclass

PRINT_JOB, GET_PRINTER_ATTRIBUTES = 0x0002, 0x000B
OPERATION, JOB, END = 0x01, 0x02, 0x03
INTEGER, BOOLEAN, ENUM = 0x21, 0x22, 0x23
TEXT_WITH_LANGUAGE, NAME_WITH_LANGUAGE, COLLECTION, COLLECTION_END = 0x35, 0x36, 0x34, 0x37
TEXT, NAME, KEYWORD, URI, CHARSET, LANGUAGE, MIME = 0x41, 0x42, 0x44, 0x45, 0x47, 0x48, 0x49
FIRST_VALUE_TAG = 0x10
MOST_TEXT_BYTES = 255
VERSION = 0x0101  # every printer since 2000 reads 1.1

Value = int | str | bool
Attribute = tuple[int, str, Value]


class NoMessage(ValueError):
    """These bytes are no message of this protocol."""


@dataclass(frozen=True, kw_only=True)
class Message:
    """`code` is the operation asked, or the status answered. Attributes of all groups together, by name."""

    code: int
    attributes: dict[str, list[Value]]

    def first(self, name: str, default: Value = "") -> Value:
        return next(iter(self.attributes.get(name, ())), default)

    def texts(self, name: str) -> list[str]:
        return [value for value in self.attributes.get(name, ()) if isinstance(value, str)]


def write(code: int, groups: Iterable[tuple[int, Iterable[Attribute]]], document: bytes = b"") -> bytes:
    made = bytearray(struct.pack(">HHI", VERSION, code, 1))
    for group, attributes in groups:
        made.append(group)
        before = ""
        for tag, name, value in attributes:
            said, told = b"" if name == before else name.encode(), _value(tag, value)
            made += struct.pack(">BH", tag, len(said)) + said + struct.pack(">H", len(told)) + told
            before = name
    return bytes(made) + bytes([END]) + document


def _value(tag: int, value: Value) -> bytes:
    if tag in (INTEGER, ENUM):
        return struct.pack(">i", value)
    if tag == BOOLEAN:
        return struct.pack(">?", value)
    return str(value).encode()[:MOST_TEXT_BYTES].decode(errors="ignore").encode()


def read(data: bytes) -> Message:
    """What is inside of collections is left out: nothing here asks for it."""
    try:
        return _read(data)
    except (struct.error, IndexError, UnicodeDecodeError):
        raise NoMessage from None


def _read(data: bytes) -> Message:
    _version, code, _number = struct.unpack_from(">HHI", data)
    found: dict[str, list[Value]] = {}
    at, name, inside = 8, "", 0
    while (tag := data[at]) != END:
        at += 1
        if tag < FIRST_VALUE_TAG:
            continue
        said, at = _piece(data, at)
        told, at = _piece(data, at)
        name = said.decode() or name
        if tag == COLLECTION:
            inside += 1
        elif tag == COLLECTION_END:
            inside -= 1
        elif not inside:
            found.setdefault(name, []).append(_read_value(tag, told))
    return Message(code=code, attributes=found)


def _piece(data: bytes, at: int) -> tuple[bytes, int]:
    (length,) = struct.unpack_from(">H", data, at)
    end = at + 2 + length
    if end > len(data):
        raise IndexError
    return data[at + 2 : end], end


def _read_value(tag: int, told: bytes) -> Value:
    if tag in (INTEGER, ENUM):
        number: int = struct.unpack(">i", told)[0]
        return number
    if tag == BOOLEAN:
        return told != b"\0"
    if tag in (TEXT_WITH_LANGUAGE, NAME_WITH_LANGUAGE):
        _language, at = _piece(told, 0)
        return _piece(told, at)[0].decode()
    return told.decode(errors="replace")
