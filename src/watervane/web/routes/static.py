"""Style sheets, scripts and fonts."""

from __future__ import annotations

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import Response

from watervane.web.assets import KEPT_FOR_GOOD, assets

routes = APIRouter()


@routes.get("/static/{digest}/{name:path}")
async def static(request: Request, digest: str, name: str) -> Response:
    """A file by its content and name; an old address is lost, never another file."""
    asset = assets().get(name)
    if asset is None or asset.digest != digest:
        raise HTTPException(404)
    headers = {"cache-control": KEPT_FOR_GOOD, "vary": "accept-encoding"}
    if asset.packed is not None and "gzip" in request.headers.get("accept-encoding", ""):
        headers["content-encoding"] = "gzip"
        return Response(asset.packed, media_type=asset.media_type, headers=headers)
    return Response(asset.data, media_type=asset.media_type, headers=headers)
