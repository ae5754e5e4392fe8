"""The board in a browser on this machine: matplotlib's WebAgg canvas, served on the loopback address alone."""

from __future__ import annotations

import asyncio
import contextlib
import json
import secrets
import signal
from collections.abc import Callable
from typing import Any

from linkage.drafting.desk import Desk
from linkage.drawing.board.board import LEAST, Bay, Board
from linkage.drawing.palette import Theme
from linkage.errors import LinkageError

ADDRESS = "127.0.0.1"
NAMES = (ADDRESS, "localhost")

DPI = 100.0

PAGE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>noseleg board</title>
<link rel="icon" href="data:,">
<style>
html, body { margin: 0; height: 100%; overflow: hidden; background: PAPER; color: INK; font-family: sans-serif; }
.ui-dialog-titlebar, .mpl-toolbar { display: none; }
#ended { display: none; position: fixed; inset: 0; padding: 4em; background: PAPER; }
</style>
<script src="mpl.js"></script>
<script src="board.js"></script>
</head>
<body>
<main id="figure" aria-label="The board: a nose gear that is changed by moving its pins. Press ? for the keys."></main>
<p id="ended" role="status">The board has ended. Start it again with the command, then reload this page.</p>
</body>
</html>
"""

SCRIPT = """'use strict';
mpl.toolbar_items = [];
// nothing shines through the picture: the browser need not look for what lies under it, which takes it 6 ms a picture
const context = HTMLCanvasElement.prototype.getContext;
HTMLCanvasElement.prototype.getContext = function (kind) { return context.call(this, kind, { alpha: false }); };
mpl.figure.prototype.key_event = function (event, name) {
  const alone = ['Control', 'Shift', 'Alt', 'Meta'].includes(event.key);
  if (event.metaKey || event.altKey || alone) { return true; }
  const mods = (event.ctrlKey ? 'ctrl+' : '') + (event.shiftKey && event.key.length > 1 ? 'shift+' : '');
  this.send_message(name, { key: mods + 'k' + event.key, guiEvent: {} });
  if (!(event.ctrlKey && ['r', 't', 'w', 'c'].includes(event.key))) { event.preventDefault(); }
  return false;
};
document.addEventListener('DOMContentLoaded', function () {
  const socket = new WebSocket('ws://' + location.host + location.pathname + 'ws');
  const figure = new mpl.figure(1, socket, function () {}, document.getElementById('figure'));
  window.board = figure;
  figure.rubberband_canvas.remove();
  figure.canvas_div.style.resize = 'none';
  const opened = socket.onopen;
  let waiting = 0;
  const fit = function () {
    const box = figure.canvas_div.getBoundingClientRect();
    const width = Math.max(window.innerWidth, LEAST_WIDTH), height = Math.max(window.innerHeight, LEAST_HEIGHT);
    const small = width > window.innerWidth || height > window.innerHeight;
    document.documentElement.style.overflow = document.body.style.overflow = small ? 'auto' : 'hidden';
    if (Math.max(Math.abs(box.width - width), Math.abs(box.height - height)) > 2) {
      figure.canvas_div.style.width = width + 'px';
      figure.canvas_div.style.height = height + 'px';
    }
  };
  // what is held is followed beyond the edges of the picture, and let go there
  const beyond = function (name) {
    return function (event) {
      if (!figure.canvas_div.contains(event.target)) { figure.mouse_event(event, name); }
    };
  };
  window.addEventListener('mousemove', function (event) { if (event.buttons & 1) { beyond('motion_notify')(event); } });
  window.addEventListener('mouseup', beyond('button_release'));
  // keys are for the board wherever the page has its focus
  document.addEventListener('keydown', function (event) {
    if (!figure.canvas_div.contains(event.target)) { figure.canvas_div.focus(); figure.key_event(event, 'key_press'); }
  });
  const later = function () { clearTimeout(waiting); waiting = setTimeout(fit, 120); };
  const take = socket.onmessage;
  let image = null, words = null;
  socket.binaryType = 'arraybuffer';
  socket.onmessage = function (event) {
    if (!(event.data instanceof ArrayBuffer)) { take(event); return; }
    const [width, height, count] = new Uint32Array(event.data, 0, 3);
    const runs = new Uint32Array(event.data, 12, 2 * count), pixels = new Uint32Array(event.data, 12 + 8 * count);
    if (image === null || image.width !== width || image.height !== height) {
      image = new ImageData(width, height);
      words = new Uint32Array(image.data.buffer);
    }
    for (let i = 0, from = 0; i < count; i++) {
      words.set(pixels.subarray(from, from + runs[2 * i + 1]), runs[2 * i]);
      from += runs[2 * i + 1];
    }
    if (count > 0) {
      const end = runs[2 * count - 2] + runs[2 * count - 1] - 1;
      const top = Math.floor(runs[0] / width), low = Math.floor(end / width);
      figure.context.putImageData(image, 0, 0, 0, top, width, low - top + 1);
    }
    figure.waiting = false;
    figure.updated_canvas_event();
  };
  const resized = figure.handle_resize;
  figure.handle_resize = function (fig, message) { resized.call(figure, fig, message); later(); };
  socket.onopen = function () { opened(); later(); figure.canvas_div.focus(); };
  socket.onclose = function () { document.getElementById('ended').style.display = 'block'; };
  window.addEventListener('resize', later);
});
"""


class NoServerError(LinkageError):
    """The board cannot be served: tornado is missing, or the port is taken."""


def serve_board(desk: Desk, bay: Bay, theme: Theme, port: int, tell: Callable[[str], None]) -> None:
    """Serve the board until the user ends; ``port`` 0 takes a free one. ``tell`` is given the address to open, which
    holds a secret of this run. Raises ``NoServerError``."""
    try:
        import tornado  # noqa: F401
    except ImportError as err:
        raise NoServerError("the board in a browser needs tornado: pip install 'noseleg[web]'") from err
    with contextlib.suppress(KeyboardInterrupt):
        asyncio.run(_serve(desk, bay, theme, port, tell))


async def _serve(desk: Desk, bay: Bay, theme: Theme, port: int, tell: Callable[[str], None]) -> None:
    from matplotlib.figure import Figure
    from tornado.httpserver import HTTPServer
    from tornado.netutil import bind_sockets

    from linkage.drawing.board.pictures import canvas_on

    figure = Figure(figsize=(12.8, 8.0), dpi=DPI)
    canvas, manager = canvas_on(figure)
    board = Board(figure, desk, bay, theme)
    canvas.board, board.ready = board, lambda: canvas.free
    ended = asyncio.Event()
    board.closing = ended.set
    try:
        sockets = bind_sockets(port, ADDRESS)
    except OSError as err:
        raise NoServerError(
            f"port {port} of {ADDRESS} cannot be used ({err.strerror}); `--port 0` takes a free one"
        ) from err
    number = sockets[0].getsockname()[1]
    secret = secrets.token_urlsafe(12)
    server = HTTPServer(_application(manager, theme, secret, number))
    server.add_sockets(sockets)
    with contextlib.suppress(NotImplementedError):  # where a loop has no signals, the process just ends
        asyncio.get_running_loop().add_signal_handler(signal.SIGTERM, ended.set)
    board.start()
    tell(f"http://{ADDRESS}:{number}/{secret}/")
    try:
        await ended.wait()
    finally:
        board.timer.stop()
        server.stop()
        await server.close_all_connections()


def _application(manager: Any, theme: Theme, secret: str, port: int) -> Any:
    import tornado.web
    import tornado.websocket

    hosts = {f"{name}:{port}" for name in NAMES}
    sources = " ".join(f"ws://{host}" for host in hosts)
    policy = (
        "default-src 'none'; script-src 'self'; style-src 'unsafe-inline'; img-src data:;"
        f" connect-src {sources}; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
    )
    page = PAGE.replace("PAPER", theme.paper).replace("INK", theme.ink)
    script = SCRIPT.replace("LEAST_WIDTH", f"{LEAST[0]}").replace("LEAST_HEIGHT", f"{LEAST[1]}")
    files = {
        "": (page, "text/html"),
        "mpl.js": (manager.get_javascript(), "text/javascript"),
        "board.js": (script, "text/javascript"),
    }

    class Guarded(tornado.web.RequestHandler):
        """Only for this machine: another name for it is an attempt to reach it through somebody's page."""

        def prepare(self) -> None:
            if self.request.host not in hosts:
                raise tornado.web.HTTPError(403, "host")

        def set_default_headers(self) -> None:
            self.set_header("Content-Security-Policy", policy)
            self.set_header("X-Content-Type-Options", "nosniff")
            self.set_header("Referrer-Policy", "no-referrer")
            self.set_header("Cache-Control", "no-store")

    class File(Guarded):
        def get(self, name: str) -> None:
            text, kind = files[name]
            self.set_header("Content-Type", f"{kind}; charset=utf-8")
            self.write(text)

    class Socket(tornado.websocket.WebSocketHandler):
        supports_binary = True

        def prepare(self) -> None:
            if self.request.host not in hosts:
                raise tornado.web.HTTPError(403, "host")

        def check_origin(self, origin: str) -> bool:
            return origin.partition("://")[2] in hosts and origin.startswith("http://")

        def open(self) -> None:
            self.set_nodelay(True)
            manager.canvas.in_flight = 0
            manager.add_web_socket(self)

        def on_close(self) -> None:
            manager.canvas.in_flight = 0
            manager.remove_web_socket(self)
            if not manager.web_sockets:
                manager.canvas.board.let_go()  # nobody holds what nobody sees

        def on_message(self, message: str | bytes) -> None:
            try:
                content = json.loads(message)
            except ValueError:
                return
            if isinstance(content, dict) and content.get("type") in MESSAGES:
                manager.handle_json(content)

        def send_json(self, content: Any) -> None:
            with contextlib.suppress(tornado.websocket.WebSocketClosedError):
                self.write_message(json.dumps(content))

        def send_binary(self, blob: bytes) -> None:
            with contextlib.suppress(tornado.websocket.WebSocketClosedError):
                self.write_message(blob, binary=True)

    own = rf"/{secret}/"
    return tornado.web.Application(
        [(rf"{own}(mpl\.js|board\.js|)", File), (rf"{own}ws", Socket)],
        default_handler_class=_nothing(),
        log_function=lambda handler: None,
    )


MESSAGES = {
    "ack", "draw", "refresh", "resize", "send_image_mode", "set_device_pixel_ratio", "scroll", "button_press",
    "button_release", "motion_notify", "figure_enter", "figure_leave", "key_press", "key_release",
}  # fmt: skip
"""What a page may say; nothing else reaches matplotlib. That two clicks were one double click is said once more when
both are over, and would be a press without its release."""


def _nothing() -> Any:
    import tornado.web

    class Nothing(tornado.web.RequestHandler):
        def prepare(self) -> None:
            raise tornado.web.HTTPError(403)

    return Nothing
