"""A reverse proxy as an office has one: one path of its address is passed on unchanged, websockets too.

Run as ``python proxy.py PORT PATH TARGET [CERTIFICATE KEY]``; it says "ready" when it listens. It hands on
the host that was asked for, as DEVELOPERS.md wants of a proxy.
"""

from __future__ import annotations

import asyncio
import ssl
import sys
from typing import Any

from tornado.httpclient import AsyncHTTPClient, HTTPRequest
from tornado.web import Application
from tornado.websocket import WebSocketClientConnection, WebSocketHandler, websocket_connect

BETWEEN_TWO = (
    "connection",
    "keep-alive",
    "transfer-encoding",
    "upgrade",
    "content-length",
    "content-encoding",
)
LARGEST = 256 * 2**20


class Forward(WebSocketHandler):
    """Hands each request on, and what comes back."""

    target: str
    theirs: WebSocketClientConnection | None = None

    def initialize(self, target: str) -> None:
        self.target = target

    def check_origin(self, origin: str) -> bool:
        """The server behind decides."""
        return True

    def select_subprotocol(self, subprotocols: list[str]) -> str | None:
        assert self.theirs is not None
        return self.theirs.selected_subprotocol

    def _asked(self, scheme: str, **more: Any) -> HTTPRequest:
        left_out = (*BETWEEN_TWO, "sec-websocket-key", "sec-websocket-version", "sec-websocket-protocol")
        names = [name for name in self.request.headers if name.lower() not in left_out]
        headers = {name: self.request.headers[name] for name in names if "extensions" not in name.lower()}
        headers["X-Forwarded-Proto"] = self.request.protocol
        return HTTPRequest(f"{scheme}://{self.target}{self.request.uri}", headers=headers, **more)

    async def get(self, *args: Any, **kwargs: Any) -> None:
        if self.request.headers.get("Upgrade", "").lower() != "websocket":
            await self.forward()
            return
        offered = self.request.headers.get("Sec-WebSocket-Protocol", "")
        protocols = [each.strip() for each in offered.split(",") if each.strip()]
        try:
            self.theirs = await websocket_connect(
                self._asked("ws"), subprotocols=protocols, max_message_size=LARGEST,
                on_message_callback=self.from_them,
            )  # fmt: skip
        except Exception as error:  # what it answers in place of a websocket
            self.set_status(getattr(error, "code", 502))
            self.finish()
            return
        await super().get(*args, **kwargs)

    async def forward(self, *_: Any) -> None:
        """A page, a file, an answer."""
        body = self.request.body if self.request.method in ("POST", "PUT", "PATCH") else None
        asked = self._asked("http", method=self.request.method, body=body, follow_redirects=False,
                            request_timeout=120, allow_nonstandard_methods=True)  # fmt: skip
        got = await AsyncHTTPClient().fetch(asked, raise_error=False)
        self.set_status(got.code)
        self.clear_header("Content-Type")
        for name, value in got.headers.get_all():
            if name.lower() not in BETWEEN_TWO:
                self.add_header(name, value)
        if got.code not in (204, 304):
            self.write(got.body or b"")
        self.finish()

    post = put = delete = patch = head = forward  # type: ignore[assignment]

    def from_them(self, message: str | bytes | None) -> None:
        """A message of the server; None where it hung up."""
        if message is None:
            self.close()
        elif self.ws_connection is not None:
            self.write_message(message, isinstance(message, bytes))

    async def on_message(self, message: str | bytes) -> None:
        """A message of the page."""
        if self.theirs is not None:
            await self.theirs.write_message(message, isinstance(message, bytes))

    def on_close(self) -> None:
        if self.theirs is not None:
            self.theirs.close()


async def _serve(port: str, path: str, target: str, *certificate: str) -> None:
    AsyncHTTPClient.configure(None, max_body_size=LARGEST, max_clients=100)
    secure = None
    if certificate:
        secure = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
        secure.load_cert_chain(*certificate)
    app = Application([(f"{path}.*", Forward, {"target": target})], websocket_max_message_size=LARGEST)
    app.listen(int(port), "127.0.0.1", ssl_options=secure)
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    await asyncio.Event().wait()


if __name__ == "__main__":
    asyncio.run(_serve(*sys.argv[1:]))
