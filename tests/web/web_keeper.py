"""The address the tests' pages are served under, and what our own forms send with a request."""

from __future__ import annotations

PORT = 8460
ADDRESS = f"http://127.0.0.1:{PORT}"
OURS = {"origin": ADDRESS, "sec-fetch-site": "same-origin"}
