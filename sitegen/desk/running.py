"""The desk from a terminal: it begins, opens the browser, and ends by Ctrl-C.

World: a browser is started, standard input is read, a folder for a moment.
"""

from __future__ import annotations

import sys
import tempfile
import threading
import time
import webbrowser
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

from sitegen.desk.door import ONCE_SECONDS
from sitegen.desk.panels import PANELS
from sitegen.desk.server import Desk, file_for_browser
from sitegen.desk.warm import Warm
from sitegen.terminal.output import echo

Open = Callable[[str], object]
LOOK_S = 0.5


def run_desk(
    clients: Path,
    out: Path,
    as_of: date | None,
    port: int,
    opens: bool,
    browser: Open = webbrowser.open,
) -> int:
    """Serve until Ctrl-C.

    Args:
        clients: The practice's folder.
        out: The built site's folder.
        as_of: The day; None for today, where each client is.
        port: Where to listen.
        opens: Whether a browser is opened.
        browser: Opens one at an address.

    Returns:
        The exit status, 0.

    Raises:
        Refused: The practice can't be read, or no port is free.
    """
    warm = Warm(clients, out, as_of)
    warm.listed()
    try:
        with Desk(warm, PANELS, port) as desk, _private_folder() as folder:
            if port and desk.port != port:
                echo(f"Port {port} is in use by another program; using {desk.port}.")
            _invite(desk, folder, browser if opens else None)
            asking = sys.stdin is not None and sys.stdin.isatty()
            if asking:
                echo("Press Enter for another address; Ctrl-C ends the desk.")
                threading.Thread(
                    target=_ask_again, args=(desk, folder, browser, opens), daemon=True
                ).start()
            else:
                echo("Ctrl-C ends the desk.")
            # Not without end: a signal that comes just before such a wait would not end it.
            while True:
                time.sleep(LOOK_S)
    except KeyboardInterrupt:
        echo("")
        echo("The desk has ended.")
    return 0


def _invite(desk: Desk, folder: Path, browser: Open | None) -> None:
    """Say the address; open it where a browser is to be had."""
    address = desk.new_address()
    echo(f"{address}")
    echo(f"It lets one page in, within {ONCE_SECONDS:.0f} s, on this computer alone.")
    if browser is not None:
        browser(file_for_browser(folder, address).as_uri())


def _ask_again(desk: Desk, folder: Path, browser: Open, opens: bool) -> None:
    for _ in sys.stdin:
        _invite(desk, folder, browser if opens else None)


@contextmanager
def _private_folder() -> Iterator[Path]:
    """A folder that nobody else may read, gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="sitegen-desk-") as folder:
        yield Path(folder)
