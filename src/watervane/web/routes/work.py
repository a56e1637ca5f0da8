"""What the worker is at, as server-sent events: pages follow it and never wait for it."""

from __future__ import annotations

import asyncio
import json
import time
from collections.abc import AsyncIterator

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import StreamingResponse

from watervane.app import BadInput
from watervane.app.work_shown import TankWork, look_at_work
from watervane.web.desk import AtDesk, Desk
from watervane.wording import phrase
from watervane.wording.pages import work_line

LOOK_S = 1.0
SIGN_OF_LIFE = 15  # looks without news between two signs of life
routes = APIRouter()


@routes.get("/work")
async def follow(request: Request, desk: AtDesk) -> StreamingResponse:
    """A stream that tells of every change, for as long as somebody listens."""
    events = told_work(desk, request, LOOK_S)
    return StreamingResponse(events, media_type="text/event-stream")


async def told_work(desk: Desk, request: Request, look_s: float) -> AsyncIterator[str]:
    """An event whenever something has changed since the last."""
    before, quiet = "", 0
    while not await request.is_disconnected():
        try:
            found = await run_in_threadpool(look_at_work, desk.actor, desk.ports)
        except BadInput:
            found = ()  # the journal is being moved or mended; the next look may do better
        told = json.dumps({each.key: _told(each, desk) for each in found})
        quiet = quiet + 1 if told == before else 0
        if told != before:
            yield f"data: {told}\n\n"
        elif quiet % SIGN_OF_LIFE == 0:
            yield ": still here\n\n"
        before = told
        await asyncio.sleep(look_s)


def _told(each: TankWork, desk: Desk) -> dict[str, str | float]:
    job = each.job
    if job is None:
        line = phrase("page-work-after-others") if each.after_others else ""
        return {"line": line, "share": 0.0, "made": each.made}
    paced = desk.pace.look(f"job {job.key}", job.stage, job.progress, time.monotonic())
    line = work_line(job, paced.left_s)
    return {"line": line, "share": round(job.progress, 2), "made": each.made}
