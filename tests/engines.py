"""Three browser engines behind one small face: open, ask, close.

Chromium and Firefox come through Playwright, WebKitGTK through Selenium with a display of its
own. One that is not on this machine skips its tests with its name.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Protocol

import pytest

CHROMIUM_ARGS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-sync"]
NAMES = ("chromium", "firefox", "webkit")


class Engine(Protocol):
    """``ask`` runs an expression in the page, awaits it and gives its value."""

    def open(self, address: str) -> None: ...
    def ask(self, expression: str) -> Any: ...
    def wait_for(self, selector: str) -> None: ...


def until(question: Callable[[], object], seconds: float = 60.0) -> None:
    """Wait until it is so.

    Raises:
        AssertionError: It never was.
    """
    end = time.monotonic() + seconds
    while not question():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.05)


@contextmanager
def engine(name: str, scheme: str = "light", *words: str) -> Iterator[Engine]:
    """A browser on a phone's screen, light or dark; ``words`` are for Chromium's command line."""
    with _webkit(scheme) if name == "webkit" else _playwright(name, scheme, words) as found:
        yield found


class _Page:
    def __init__(self, page: Any) -> None:
        self.page = page

    def open(self, address: str) -> None:
        self.page.goto("about:blank")
        self.page.goto(address)

    def ask(self, expression: str) -> Any:
        return self.page.evaluate(expression)

    def wait_for(self, selector: str) -> None:
        self.page.wait_for_selector(selector, state="attached", timeout=60_000)


@contextmanager
def _playwright(name: str, scheme: str, words: Sequence[str]) -> Iterator[Engine]:
    sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    program = shutil.which("chromium" if name == "chromium" else "firefox-esr")
    if program is None:
        pytest.skip(f"{name} is not on this machine")
    with sync_api.sync_playwright() as play:
        if name == "chromium":
            browser = play.chromium.launch(executable_path=program, args=[*CHROMIUM_ARGS, *words])
        else:
            # Playwright's own word for the scheme does not reach this Firefox; 0 is dark. A file
            # may read as little of its neighbours as in anybody's Firefox.
            wanted = {
                "layout.css.prefers-color-scheme.content-override": int(scheme != "dark"),
                "security.fileuri.strict_origin_policy": True,
            }
            browser = play.firefox.launch(
                executable_path=program, channel="moz-firefox", firefox_user_prefs=wanted
            )
        context = browser.new_context(
            viewport={"width": 390, "height": 844},
            color_scheme="dark" if scheme == "dark" else "light",
        )
        yield _Page(context.new_page())
        browser.close()


class _Driver:
    def __init__(self, driver: Any) -> None:
        self.driver = driver

    def open(self, address: str) -> None:
        self.driver.get("about:blank")
        self.driver.get(address)

    def ask(self, expression: str) -> Any:
        """By way of the ``done`` that WebDriver hands to a script; a function is called."""
        found = self.driver.execute_async_script(
            "const done = arguments[arguments.length - 1];"
            f"const asked = ({expression});"
            "Promise.resolve(typeof asked === 'function' ? asked() : asked)"
            ".then(value => done([value]), error => done(String(error)));"
        )
        assert isinstance(found, list), found
        return found[0]

    def wait_for(self, selector: str) -> None:
        until(lambda: self.driver.find_elements("css selector", selector))


@contextmanager
def _webkit(scheme: str) -> Iterator[Engine]:
    program = shutil.which("WebKitWebDriver")
    browsers = sorted(Path("/usr/lib").glob("**/webkit2gtk-4*/MiniBrowser"))
    if program is None or not browsers:
        pytest.skip("WebKitGTK (WebKitWebDriver and MiniBrowser) is not on this machine")
    if shutil.which("Xvfb") is None:
        pytest.skip("WebKitGTK needs Xvfb")
    webdriver = pytest.importorskip("selenium.webdriver", reason="selenium is not installed")
    from selenium.webdriver.webkitgtk.options import Options
    from selenium.webdriver.webkitgtk.service import Service

    options = Options()
    options.binary_location = str(browsers[-1])
    options.add_argument("--automation")
    options.add_argument("--full-screen")
    with _screen() as display:
        theme = "Adwaita:dark" if scheme == "dark" else "Adwaita"
        env = {**os.environ, "DISPLAY": display, "GTK_THEME": theme}
        driver = webdriver.WebKitGTK(options=options, service=Service(program, env=env))
        driver.set_script_timeout(60)
        try:
            yield _Driver(driver)
        finally:
            driver.quit()


@contextmanager
def _screen() -> Iterator[str]:
    """A screen as large as a phone's, gone afterwards."""
    read, write = os.pipe()
    command = ["Xvfb", "-displayfd", str(write), "-screen", "0", "390x844x24", "-nolisten", "tcp"]
    with subprocess.Popen(command, pass_fds=[write], stderr=subprocess.DEVNULL) as server:
        os.close(write)
        with os.fdopen(read) as number:
            display = number.readline().strip()
        try:
            yield f":{display}"
        finally:
            server.terminate()
