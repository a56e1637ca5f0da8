"""Let phones in: codes, certificates, and the devices that are paired."""

from __future__ import annotations

from collections.abc import Sequence

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import RedirectResponse
from starlette.responses import Response

from watervane.records import Finding
from watervane.web.desk import AtDesk, Desk
from watervane.web.devices_shown import device_called, devices_shown
from watervane.web.sent import AsSent
from watervane.web.sharing.pairing import LIFE_S
from watervane.web.sharing.share import COOKIE_LASTS_S, PAIR, TRUST, Share, SharedGate

CERTIFICATE = f"{TRUST}/watervane.crt"
NEVER_KEPT = {"cache-control": "no-store"}
routes = APIRouter()


@routes.post("/devices/pair")
def offer(request: Request, desk: AtDesk) -> Response:
    """A new code to pair a device with; only the machine itself gives them out."""
    from watervane.web.sharing.square import square_of  # noqa: PLC0415 - nobody else needs it

    share = _share(desk)
    if isinstance(desk.gate, SharedGate):
        raise HTTPException(404)
    code = share.pairing.offer()
    best, *others = share.pairing_addresses(code)
    return desk.pages.page(
        "pairing.html",
        request,
        headers=NEVER_KEPT,
        code=code,
        address=best,
        plain=share.addresses[0] + PAIR,
        others=[each.partition("?")[0] for each in others],
        square=square_of(best),
        minutes=int(LIFE_S // 60),
        fingerprint="" if share.authority is None else share.authority.fingerprint,
    )


@routes.post("/devices/{device}/revoke")
def revoke(desk: AtDesk, device: str) -> Response:
    """Let a device in no more, from this moment on."""
    if _share(desk).devices.revoke(device) is None:
        raise HTTPException(404)
    return RedirectResponse("/settings#devices", 303)


@routes.get(PAIR)
def ask_for_code(request: Request, desk: AtDesk, code: str = "") -> Response:
    """Nothing is used up by looking: the code is, when it is sent."""
    _shared_gate(desk)
    return _ask(request, desk, code, ())


@routes.post(PAIR)
def pair(request: Request, desk: AtDesk, sent: AsSent) -> Response:
    """A code for a cookie."""
    gate = _shared_gate(desk)
    share, code = gate.share, sent.typed.get("code", "")
    who = request.client.host if request.client else ""
    if not share.pairing.may_try(who):
        return _ask(request, desk, code, [Finding("pair-too-often", "problem", {})], 429)
    if share.devices.full:
        return _ask(request, desk, code, [Finding("pair-full", "problem", {})], 403)
    if not share.pairing.redeem(code, who):
        return _ask(request, desk, code, [Finding("pair-wrong", "problem", {})], 403)
    name = sent.typed.get("name", "").strip() or device_called(request)
    cookie = share.devices.add(name, share.now())
    answer = RedirectResponse("/", 303)
    answer.set_cookie(
        gate.cookie,
        cookie,
        max_age=COOKIE_LASTS_S,
        httponly=True,
        samesite="strict",
        secure=True,
        path="/",
    )
    return answer


@routes.get(TRUST)
def tell_trust(request: Request, desk: AtDesk) -> Response:
    """How a phone comes to trust these pages, in plain words."""
    share = _share(desk)
    fingerprint = "" if share.authority is None else share.authority.fingerprint
    stranger = not devices_shown(desk, request).inside
    return desk.pages.page(
        "trust.html", request, fingerprint=fingerprint, file=CERTIFICATE, stranger=stranger
    )


@routes.get(CERTIFICATE)
def send_certificate(desk: AtDesk) -> Response:
    """The certificate of the authority; its key stays where it is."""
    share = _share(desk)
    if share.authority is None:
        raise HTTPException(404)
    headers = {"content-disposition": 'attachment; filename="watervane.crt"'}
    return Response(share.authority.der, media_type="application/x-x509-ca-cert", headers=headers)


def _ask(
    request: Request, desk: Desk, code: str, findings: Sequence[Finding], status: int = 200
) -> Response:
    return desk.pages.page(
        "pair.html",
        request,
        status,
        NEVER_KEPT,
        code=code[:40],
        name=device_called(request),
        findings=findings,
        stranger=True,
    )


def _share(desk: Desk) -> Share:
    if desk.share is None:
        raise HTTPException(404)
    return desk.share


def _shared_gate(desk: Desk) -> SharedGate:
    if not isinstance(desk.gate, SharedGate):
        raise HTTPException(404)
    return desk.gate
