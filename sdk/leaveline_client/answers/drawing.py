"""How a line that was answered is drawn: by asking the service that answered it once more."""

from __future__ import annotations

from typing import Literal, Protocol

PictureKind = Literal["lane", "carry"]


class Draw(Protocol):
    """Asks the service for a picture of one of an answer's lines, from 0."""

    def __call__(self, *, kind: PictureKind | None, line: int) -> str: ...


class Drawing:
    """One line's way back to the service. It stays behind when its line is pickled or deep-copied,
    for it holds the client, and the client the key.
    """

    __slots__ = ("_draw", "_line")

    def __init__(self, draw: Draw | None = None, line: int = 0) -> None:
        self._draw, self._line = draw, line

    def picture(self, kind: PictureKind | None) -> str:
        """Draw the line, as SVG."""
        if self._draw is None:
            raise RuntimeError(
                "this line does not know the service it came from (it was unpickled, deep-copied, "
                "read from a file, one of lines_many, or made by hand): ask for it with "
                "Client.lines, or use Client.picture"
            )
        return self._draw(kind=kind, line=self._line)

    def __reduce__(self) -> tuple[type[Drawing], tuple[()]]:
        return Drawing, ()


UNBOUND = Drawing()
