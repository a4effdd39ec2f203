"""Behind an office's proxy with TLS, below a path of its address: pages, websockets, who gets none."""

from __future__ import annotations

import shutil
import socket
import ssl
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager
from http.client import HTTPConnection, HTTPSConnection
from pathlib import Path
from urllib.parse import urlsplit

import proxy
import pytest
from driving import WAIT_MS, JobServer, serving, slider_step
from playwright.sync_api import Browser, BrowserContext, Page, expect

from mytakeoff.launch.folder import new_job_folder

OFFICE, BASE = "office.example", "/takeoff/"


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def certificate(place: Path) -> tuple[str, ...]:
    """One that the office made itself; none where there is no openssl to make it."""
    if shutil.which("openssl") is None:
        return ()
    made, key = place / "office.pem", place / "office.key"
    asked = ["-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", f"/CN={OFFICE}"]
    command = ["openssl", "req", *asked, "-keyout", str(key), "-out", str(made)]
    subprocess.run(command, check=True, capture_output=True)
    return str(made), str(key)


@contextmanager
def behind_a_proxy(place: Path, folder: Path, *flags: str) -> Iterator[JobServer]:
    """The workbooks of a folder, opened with these flags; the address is the proxy's."""
    scratch, own = place / "scratch", certificate(place)
    scratch.mkdir()
    port, inner = free_port(), free_port()
    public = f"http{'s' if own else ''}://{OFFICE}:{port}{BASE}"
    command = [sys.executable, proxy.__file__, str(port), BASE, f"127.0.0.1:{inner}", *own]
    office = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    try:
        assert office.stdout is not None
        assert office.stdout.readline() == "ready\n"
        with serving(folder, scratch, "--public-address", public, "--port", str(inner), *flags) as server:
            assert server.address.startswith(public), "the address that is printed is the one to be given on"
            yield server
    finally:
        office.terminate()
        office.wait()
        if office.stdout is not None:
            office.stdout.close()


@pytest.fixture(scope="module", params=["--app", "JupyterLab"])
def server(
    request: pytest.FixtureRequest, chromium: str, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[JobServer]:
    """A folder of one job behind a proxy."""
    place = tmp_path_factory.mktemp("office")
    new_job_folder(place / "firm" / "flat", demo=True)
    with behind_a_proxy(
        place, place / "firm", *([request.param] if request.param == "--app" else [])
    ) as server:
        yield server


def public_of(server: JobServer) -> str:
    return server.address[: server.address.index(BASE) + len(BASE)]


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """A window that trusts the office's own certificate."""
    made = browser.new_context(viewport={"width": 1440, "height": 900}, ignore_https_errors=True)
    yield made
    made.close()


def asked_for(page: Page) -> list[str]:
    """All that a page asks for from here on, websockets too."""
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("websocket", lambda opened: asked.append(opened.url))
    return asked


def test_a_slider_moves_the_price_through_it_and_nothing_is_asked_beside_it(
    context: BrowserContext, server: JobServer
) -> None:
    page = context.new_page()
    asked = asked_for(page)
    page.goto(server.address, timeout=WAIT_MS)
    page.get_by_role("link", name="Two rooms over the net loft").click(timeout=WAIT_MS)
    handle = page.locator(".mt-waste_share .noUi-handle:visible")
    handle.wait_for(timeout=WAIT_MS)
    total = page.locator(".mt-headline .mt-total:visible")
    before = total.inner_text()
    slider_step(page, "mt-waste_share", *["ArrowRight"] * 10)
    expect(total).not_to_have_text(before, timeout=WAIT_MS)
    public = public_of(server)
    sockets = [url for url in asked if url.startswith("ws")]
    assert sockets
    own = (public, public.replace("http", "ws", 1), "data:", "blob:")
    assert [url for url in asked if not url.startswith(own)] == []
    cookies = [each for each in context.cookies() if each["name"].startswith("username-")]
    assert cookies
    for each in cookies:
        assert each["secure"] == public.startswith("https")
        assert each["httpOnly"]
        assert each["path"] == BASE
    page.wait_for_timeout(1000)
    page.close()


def trusting() -> ssl.SSLContext:
    """Any certificate will do."""
    made = ssl.create_default_context()
    made.check_hostname, made.verify_mode = False, ssl.CERT_NONE
    return made


def answer(url: str, **headers: str) -> tuple[int, str]:
    """Status, and the address in the end."""
    asked = urllib.request.Request(url, headers=headers)
    try:
        with urllib.request.urlopen(asked, timeout=60, context=trusting()) as got:
            return got.status, got.url
    except urllib.error.HTTPError as error:
        with error:
            return error.code, error.url


def by_number(server: JobServer) -> tuple[str, str]:
    """The public address with the machine's number in place of the office's name, and the host to ask for."""
    public = public_of(server)
    host = public.split("/")[2]
    return public.replace(OFFICE, "127.0.0.1"), host


def test_without_the_token_there_is_a_login_and_nothing_else(server: JobServer) -> None:
    public, host = by_number(server)
    status, _ = answer(f"{public}api/kernels", Host=host)
    assert status in (403, 404), "of pages without code there is no list"
    for path in ("", "jobs.ipynb", "flat/budget.ipynb", "lab"):
        status, url = answer(f"{public}{path}", Host=host)
        assert status == 404 or "/login" in url, path
    assert answer(f"{public}api/kernels", Host=host, Authorization="token wrong")[0] in (403, 404)
    assert answer(public.replace(BASE, "/"), Host=host)[0] == 404, "only that path is passed on"


def handshake(url: str, **headers: str) -> int:
    """The status that a websocket's first request is answered with: 101 where it is opened."""
    asked = urlsplit(url)
    upgrade = {"Connection": "Upgrade", "Upgrade": "websocket", "Sec-WebSocket-Version": "13"}
    key = {"Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ=="}  # the sample of RFC 6455, 1.3
    assert asked.hostname is not None
    with closing(connection(asked.scheme, asked.hostname, asked.port)) as opened:
        opened.request("GET", asked.path, headers={**upgrade, **key, **headers})
        with opened.getresponse() as got:
            return got.status


def connection(scheme: str, host: str, port: int | None) -> HTTPConnection:
    """One that is closed when it is told to; any certificate will do."""
    if scheme == "https":
        return HTTPSConnection(host, port, timeout=60, context=trusting())
    return HTTPConnection(host, port, timeout=60)


def kernel_of(page: Page, server: JobServer) -> str:
    """A kernel that a page is connected to."""
    page.goto(server.address, timeout=WAIT_MS)
    with page.expect_websocket(lambda opened: "/channels" in opened.url, timeout=WAIT_MS) as opened:
        page.reload()
    return opened.value.url.split("/kernels/")[1].split("/")[0]


def test_a_websocket_wants_the_token_and_a_page_of_the_office(
    context: BrowserContext, server: JobServer
) -> None:
    kernel = kernel_of(context.new_page(), server)
    cookies = "; ".join(f"{each['name']}={each['value']}" for each in context.cookies())
    public, host = by_number(server)
    channels = f"{public}api/kernels/{kernel}/channels"
    home = f"{public.split('/')[0]}//{host}"
    assert handshake(channels, Host=host, Origin=home, Cookie=cookies) == 101
    assert handshake(channels, Host=host, Origin=home) == 403
    assert handshake(channels, Host=host, Origin="https://somebody.example", Cookie=cookies) == 403
    somebody = {"Host": "somebody.example", "Origin": "https://somebody.example"}
    assert handshake(channels, **somebody, Cookie=cookies) == 403
