"""Voila on the package's own workbooks of a job folder, with the token in the address that it opens."""

from __future__ import annotations

import re
import webbrowser
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from tornado.web import HTTPError
from traitlets import List, Unicode
from voila.app import Voila
from voila.static_file_handler import AllowListFileHandler
from voila.tornado.handler import TornadoVoilaHandler

from mytakeoff.jobs.found import job_folders
from mytakeoff.launch.own_workbooks import own_workbooks, runs_as_own
from mytakeoff.resources import JOB_WORKBOOKS, JOBS_WORKBOOK


def check_own(_request: object, notebook: Mapping[str, Any], **_where: object) -> None:
    """Before each page, refuse a workbook that was changed since the server was started.

    Voila calls this with what it read just now (its *prelaunch hook*), and would run it unseen.

    Raises
    ------
    HTTPError
        403, unless the notebook runs as one of the package's own does.
    """
    if runs_as_own(notebook) is None:
        raise HTTPError(403, reason="This workbook was changed and does not run here: open it without --app")


class Page(TornadoVoilaHandler):
    """A workbook's page, which may say when it is left.

    Voila's page does, and its kernel then ends; but the server hears it only with a cookie that Voila never
    sets.
    """

    async def get(self, path: str | None = None) -> None:
        """Show the workbook, run for this page alone."""
        self.xsrf_token  # noqa: B018  # asked for, it is set
        await super().get(path)

    def _folder(self) -> str:
        """The folder of the workbook that was asked for, in the folder that is shown: "" for that itself."""
        return ""

    def write_error(self, status_code: int, **_why: Any) -> None:
        """Say why there is no page, with the way to the others; Voila's asks other machines for its looks."""
        # only when it is needed: no start should wait for what the panels load
        from mytakeoff.panels.parts.frame import links_between
        from mytakeoff.panels.parts.html import Html, element, joined

        title = element("title", f"mytakeoff: {status_code}")
        said = element("p", f"{self._reason}.", role="alert")
        links = links_between("", str(Path(self.settings["voila"].root_dir, self._folder())))
        self.set_header("Content-Type", "text/html; charset=utf-8")
        self.finish(joined([Html("<!doctype html><html lang='en'>"), title, said, links]))


class PageOfJob(Page):
    """A workbook's page of one of the jobs in the folder that is shown: at ``job folder/workbook``."""

    async def get(self, path: str | None = None) -> None:
        """Show the workbook, if its folder is one of a job, in the folder itself.

        Raises
        ------
        HTTPError
            404 for any other: what was escaped in the address may hold dots and slashes.
        """
        if not self._folder():
            raise HTTPError(404)
        await super().get(path)

    def _folder(self) -> str:
        job, _, workbook = str(self.path_args[0]).partition("/")
        shown = Path(self.settings["voila"].root_dir)
        plain = workbook == Path(workbook).name and job in job_folders(shown)
        return job if plain else ""


class JobApp(Voila):
    """Voila on the workbooks of a job, or of many: a page for each of the package's own, and nothing else.

    Voila by itself shows one notebook, or else lists the folder and runs whatever lies there; it hands out
    pictures to whoever asks. And it leaves the token out of both addresses, so that its page would ask for a
    password nobody has.
    """

    hostnames = List(Unicode(), config=True, help="Names that this machine is asked by, beside its own")

    def init_settings(self) -> dict[str, Any]:
        """Answer who asks by a name of this machine, or by one that is allowed; Voila answers anybody."""
        asked_by = {"allow_remote_access": False, "local_hostnames": ["localhost", *self.hostnames]}
        return {**super().init_settings(), **asked_by}

    def init_handlers(self) -> list[Any]:
        """Return what a page is made of, and the pages: the workbook that opens first, and each by name.

        Over many jobs, the workbooks of each of them too.
        """
        needed = [
            handler
            for handler in super().init_handlers()
            if handler[1] not in (AllowListFileHandler, TornadoVoilaHandler)
        ]
        first = Path(self.notebook_path).name
        names = {workbook.name: workbook.name for workbook in own_workbooks()}
        pages = [self._page(re.escape(at), name) for at, name in {"": first, **names}.items()]
        if Path(first).stem == JOBS_WORKBOOK:
            of_a_job = "|".join(map(re.escape, JOB_WORKBOOKS))
            pages.append(self._page(rf"([^/.][^/]*/(?:{of_a_job})\.ipynb)", "", PageOfJob))
        return needed + pages

    def _page(self, at: str, name: str, page: type[Page] = Page) -> tuple[Any, ...]:
        """Return the handler that shows a workbook of the folder at an address, a pattern."""
        shown = {
            "notebook_path": name,
            "template_paths": self.template_paths,
            "config": self.config,
            "voila_configuration": self.voila_configuration,
        }
        return f"{self.server_url.rstrip('/')}/{at}", page, shown

    @property
    def display_url(self) -> str:
        """The page's address, with its token."""
        where = self.custom_display_url or f"http://{self.ip}:{self.port}{self.base_url}"
        return f"{where}?token={self.identity_provider.token}"

    def launch_browser(self) -> None:
        """Open the page in the user's browser."""
        webbrowser.open(self.display_url, new=self.webbrowser_open_new)
