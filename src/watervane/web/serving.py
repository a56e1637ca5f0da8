"""Run the pages on the loopback until interrupted."""

from __future__ import annotations

import errno
import signal
import socket
import threading
import webbrowser
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import uvicorn

from watervane.app import BadInput, Ports
from watervane.app.job_ports import WorkRequest
from watervane.app.page_ports import ServeRequest
from watervane.records import Finding
from watervane.web.application import make_app
from watervane.web.drawings import script
from watervane.web.gate import Gate

BACKLOG = 64
STOPPING = (signal.SIGINT, signal.SIGTERM)


class _Announced(uvicorn.Server):
    """Says so once it answers."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """End at a signal in order, and leave the signal at that: the worker is to be told, too."""
        before = {each: signal.signal(each, self.handle_exit) for each in STOPPING}
        try:
            yield
        finally:
            for each, handler in before.items():
                signal.signal(each, handler)

    def __init__(self, config: uvicorn.Config, ready: Callable[[], None]) -> None:
        super().__init__(config)
        self._ready = ready

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        self._ready()


def serve(ports: Ports, request: ServeRequest, told: Callable[[str], None]) -> None:
    """Serve the pages, tell the address with its token, and open the browser there.

    Parameters
    ----------
    ports
        The outside parts.
    request
        The port, whether the browser is opened, and whether a worker is started.
    told
        Gets the address with the token of this launch, once it answers.

    Raises
    ------
    BadInput
        Where the port is taken.
    """
    listening = _listening(request.port)
    gate = Gate(listening.getsockname()[1])
    config = uvicorn.Config(
        make_app(ports, gate),
        log_level="warning",
        access_log=False,
        proxy_headers=False,
        server_header=False,
        lifespan="off",
        timeout_graceful_shutdown=2,
    )

    def ready() -> None:
        told(gate.launch_address)
        threading.Thread(target=script, daemon=True).start()  # it takes a second the first time
        if request.open_browser:
            threading.Thread(
                target=webbrowser.open, args=(gate.launch_address,), daemon=True
            ).start()

    worker = ports.jobs.start_worker(WorkRequest(keep_current=True)) if request.work else None
    try:
        _Announced(config, ready).run(sockets=[listening])
    finally:
        if worker is not None:
            worker.stop()


def _listening(port: int) -> socket.socket:
    """A socket on the loopback alone."""
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        found.bind(("127.0.0.1", port))
    except OSError as error:
        found.close()
        key = "serve-port-taken" if error.errno == errno.EADDRINUSE else "serve-port-refused"
        raise BadInput([Finding(key, "problem", {"port": str(port)})]) from None
    found.listen(BACKLOG)
    return found
