"""Pictures of the board on their way to a browser: what changed, packed beside the drawing of the next one."""

from __future__ import annotations

import asyncio
import struct
import zlib
from concurrent.futures import Future, ThreadPoolExecutor
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.backends.backend_webagg import FigureCanvasWebAgg
from matplotlib.backends.backend_webagg_core import FigureManagerWebAgg

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from linkage.drawing.board.board import Board

IN_FLIGHT = 3
"""Pictures on their way, to be packed or sent, of which the browser has not told that they came."""


def packed(pixels: Any) -> bytes:
    """Pixels (rows, columns, 4) as PNG (ISO/IEC 15948). No row is filtered and only runs are looked for: what changed
    from one picture to the next is mostly nothing, and the way to the browser is short."""
    rows, columns = pixels.shape[:2]
    lines = np.zeros((rows, 4 * columns + 1), dtype=np.uint8)  # each row begins with the number of its filter: none
    lines[:, 1:] = pixels.reshape(rows, -1)
    deflate = zlib.compressobj(1, zlib.DEFLATED, zlib.MAX_WBITS, 8, zlib.Z_RLE)
    body = deflate.compress(lines.tobytes()) + deflate.flush()
    head = struct.pack(">IIBBBBB", columns, rows, 8, 6, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", body), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data)) for name, data in chunks
    )


class BoardCanvas(FigureCanvasWebAgg):
    """A canvas that draws nothing again for a browser that only wants what is there."""

    board: Board
    in_flight = 0

    @property
    def free(self) -> bool:
        """Another picture would soon be seen."""
        return self.in_flight < IN_FLIGHT

    def handle_ack(self, event: Any) -> None:
        self.in_flight = max(self.in_flight - 1, 0)

    def handle_draw(self, event: Any) -> None:
        self.board.show_again()

    def changed(self) -> tuple[str, Any] | None:
        """What changed since the last picture, and whether it is the whole or the difference; None if nothing did."""
        canvas: Any = self
        if not canvas._png_is_old:
            return None
        pixels = np.asarray(canvas.get_renderer().buffer_rgba())
        words, last = pixels.view(np.uint32).squeeze(2), canvas._last_buff
        whole = canvas._force_full or words.shape != last.shape
        output = words.copy() if whole else np.where(words != last, words, np.uint32(0))
        canvas._last_buff, canvas._force_full, canvas._png_is_old = words.copy(), False, False
        return "full" if whole else "diff", output.view(np.uint8).reshape(pixels.shape)


class BoardManager(FigureManagerWebAgg):
    """Packs pictures in a thread of its own (the packing lets other threads run) and sends them in their order."""

    def __init__(self, canvas: Any, number: int) -> None:
        base: Any = super()
        base.__init__(canvas, number)
        self.packer = ThreadPoolExecutor(1)
        self.loop = asyncio.get_running_loop()

    def refresh_all(self) -> None:
        canvas: Any = self.canvas
        found = canvas.changed() if self.web_sockets else None
        if found is None:
            return
        mode, pixels = found
        canvas.in_flight += 1
        job = self.packer.submit(packed, pixels)
        job.add_done_callback(lambda done: self.loop.call_soon_threadsafe(self._send, mode, done))

    def _send(self, mode: str, job: Future[bytes]) -> None:
        canvas: Any = self.canvas
        canvas.set_image_mode(mode)
        for socket in tuple(self.web_sockets):
            socket.send_binary(job.result())

    def close(self) -> None:
        self.packer.shutdown(wait=False, cancel_futures=True)


def canvas_on(figure: Figure) -> tuple[BoardCanvas, BoardManager]:
    """A canvas on a figure and what sends its pictures; within a running loop."""
    make: Any = BoardCanvas
    canvas: Any = make(figure)
    canvas.manager = BoardManager(canvas, 1)
    return canvas, canvas.manager
