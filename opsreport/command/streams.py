"""Streams made fit to speak on: closed ones, and encodings that lack a sign."""

import codecs
import io
import os
from typing import Final, TextIO

_STAND_INS: Final = str.maketrans(
    {"→": "->", "≈": "~", "×": "x", "÷": "/", "−": "-", "–": "-", "·": "-",
     "“": '"', "”": '"', "‘": "'", "’": "'", "…": "..."}
)  # fmt: skip
"""What is said in place of a sign that an encoding lacks; anything else is said as its escape."""
_ERRORS: Final = "opsreport-stand-in"


def made_fit(stream: TextIO | None) -> TextIO:
    """The stream, which refuses no sign from now on; a closed one leads nowhere.

    A closed one is opened at once, lest the next file that is written has its number and hears what is said.
    """
    codecs.register_error(_ERRORS, _stand_in)
    if stream is None:
        return open(os.devnull, "r+", encoding="utf-8")  # noqa: PTH123 - a device, open to the end
    if isinstance(stream, io.TextIOWrapper):
        stream.reconfigure(errors=_ERRORS)
    return stream


def say_no_more(stream: TextIO) -> None:
    """What a stream still holds is not tried again when the process ends."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def takes_every_sign(stream: TextIO) -> bool:
    """Whether any text can be said as it is."""
    return (stream.encoding or "").lower().replace("-", "") == "utf8"


def _stand_in(fault: UnicodeError) -> tuple[str | bytes, int]:
    if not isinstance(fault, UnicodeEncodeError):
        raise fault
    text = fault.object[fault.start : fault.end].translate(_STAND_INS)
    return text.encode("ascii", "backslashreplace").decode("ascii"), fault.end
