"""Run the pages until interrupted: on the loopback, and for paired devices where it is asked."""

from __future__ import annotations

import asyncio
import errno
import signal
import socket
import ssl
import threading
import webbrowser
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from urllib.parse import urlsplit

import uvicorn
from starlette.types import ASGIApp

from watervane.app import BadInput, Ports
from watervane.app.job_ports import WorkRequest
from watervane.app.page_ports import ServeRequest
from watervane.records import Finding
from watervane.web.application import make_app
from watervane.web.drawer import DRAWER, CannotDraw
from watervane.web.drawings import script
from watervane.web.gate import Gate
from watervane.web.sharing import Share, SharedGate

LOOPBACK, EVERYWHERE = "127.0.0.1", "0.0.0.0"  # noqa: S104 - who is not of the network is refused
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


class _Beside(uvicorn.Server):
    """Ends when the other one does; signals are not its business."""

    def __init__(self, config: uvicorn.Config) -> None:
        super().__init__(config)
        self.up = asyncio.Event()

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Leave them alone."""
        yield

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        self.up.set()


def serve(
    ports: Ports,
    request: ServeRequest,
    told: Callable[[str], None],
    shared: Callable[[Sequence[str]], None] | None = None,
) -> None:
    """Serve the pages, tell the address with its token, and open the browser there.

    Parameters
    ----------
    ports
        The outside parts.
    request
        The port, whether the browser is opened, and whether a worker is started.
    told
        Gets the address with the token of this launch, once it answers.
    shared
        Gets the addresses for paired devices, where there are any.

    Raises
    ------
    BadInput
        Where a port is taken, or the address of a proxy is none.
    """
    second = _second_door(ports, request)
    share = None if second is None else second[0]
    listening = _listening(request.port)
    gate = Gate(listening.getsockname()[1])
    app = make_app(
        ports,
        gate,
        notice=request.notice,
        share=share,
        draw_ahead=True,
        plan_ahead=True,
    )
    config = _config(app)

    def ready() -> None:
        told(gate.launch_address)
        if share is not None and shared is not None:
            shared(share.addresses)
        # What takes a second the first time, in processes of their own: no page waits meanwhile.
        threading.Thread(target=DRAWER.warm_up, daemon=True).start()
        threading.Thread(target=_make_script, args=(ports,), daemon=True).start()
        if request.open_browser:
            threading.Thread(
                target=webbrowser.open, args=(gate.launch_address,), daemon=True
            ).start()

    worker = ports.jobs.start_worker(WorkRequest(keep_current=True)) if request.work else None
    try:
        server = _Announced(config, ready)
        if second is None:
            server.run(sockets=[listening])
        else:
            asyncio.run(_both(server, listening, *second, ports, request))
    finally:
        DRAWER.stop()
        if worker is not None:
            worker.stop()


def _make_script(ports: Ports) -> None:
    with suppress(CannotDraw):
        script(ports.pages.cache())


def _config(app: ASGIApp, certificate: Sequence[object] = ()) -> uvicorn.Config:
    files = [str(each) for each in certificate]
    return uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        proxy_headers=False,
        server_header=False,
        lifespan="off",
        timeout_graceful_shutdown=2,
        ssl_certfile=files[0] if files else None,
        ssl_keyfile=files[1] if files else None,
    )


async def _both(
    server: uvicorn.Server,
    listening: socket.socket,
    share: Share,
    shared_listening: socket.socket,
    ports: Ports,
    request: ServeRequest,
) -> None:
    """The pages at two doors; the second one is open before the first is told of."""
    pages = make_app(
        ports,
        SharedGate(share),
        notice=request.notice,
        share=share,
        draw_ahead=True,
        plan_ahead=True,
    )
    config = _config(pages, () if share.behind else share.certificate())
    config.load()
    stopped = threading.Event()
    if config.ssl is not None:
        config.ssl.minimum_version = ssl.TLSVersion.TLSv1_2
        threading.Thread(target=share.watch, args=(config.ssl, stopped), daemon=True).start()
    beside = _Beside(config)
    serving = asyncio.create_task(beside.serve(sockets=[shared_listening]))
    try:
        up = asyncio.create_task(beside.up.wait())
        await asyncio.wait({up, serving}, return_when=asyncio.FIRST_COMPLETED)
        await server.serve(sockets=[listening])
    finally:
        stopped.set()
        beside.should_exit = True
        await serving


def _second_door(ports: Ports, request: ServeRequest) -> tuple[Share, socket.socket] | None:
    """What paired devices come in by, where it is asked for."""
    if not (request.share or request.behind):
        return None
    if request.share and request.behind:
        raise BadInput([Finding("share-or-behind", "problem", {})])
    if request.behind:
        _check_proxy(request.behind)
    host = LOOPBACK if request.behind else EVERYWHERE
    listening = _listening(request.share_port, host, "share-port-taken")
    port = listening.getsockname()[1]
    return Share(ports.pages.folder(), port, request.behind), listening


def _check_proxy(address: str) -> None:
    try:
        told = urlsplit(address)
        right = told.scheme == "https" and bool(told.hostname) and told.port != 0
    except ValueError:
        right = False
    if not right or told.path.strip("/") or told.query or told.username is not None:
        raise BadInput([Finding("share-bad-address", "problem", {"address": address})])


def _listening(port: int, host: str = LOOPBACK, taken: str = "serve-port-taken") -> socket.socket:
    """A socket, of the loopback alone where nothing else is asked."""
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        found.bind((host, port))
    except OSError as error:
        found.close()
        key = taken if error.errno == errno.EADDRINUSE else "serve-port-refused"
        raise BadInput([Finding(key, "problem", {"port": str(port)})]) from None
    found.listen(BACKLOG)
    return found
