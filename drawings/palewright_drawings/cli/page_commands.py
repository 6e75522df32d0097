"""The command that opens the page."""

from __future__ import annotations

import click

from palewright_drawings.cli.money_commands import SHOP, shop_figures
from palewright_drawings.cli.options import say

PORT = 8477
"""Where the page is found unless told otherwise: our own choice, registered to nobody we know."""


@click.command()
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=PORT,
    show_default=True,
    help="Where to listen on this computer; 0 takes any free port.",
)
@click.option("--show/--no-show", default=True, help="Open it in the browser.")
@SHOP
def page(port: int, show: bool, shop_file: str) -> int:
    """Open the page: see the box change while you drag. This computer only; Ctrl-C ends it."""
    import asyncio
    import signal
    import threading
    import webbrowser

    from palewright_drawings.page.jobs.shop_figures import usable
    from palewright_drawings.page.server import serve

    figures = usable(shop_figures(shop_file, ()))

    def ready(address: str) -> None:
        """Say where the page is."""
        say(f"{address}\nopen on this computer only; Ctrl-C ends it")
        if show:
            # a browser in the terminal returns only when it is closed: the page must go on
            threading.Thread(target=webbrowser.open, args=(address,), daemon=True).start()

    # asyncio cancels the server at a Ctrl-C where it finds Python's own handler; any other would
    # interrupt it wherever it is, between the making of a worker's folder and noting it, say
    signal.signal(signal.SIGINT, signal.default_int_handler)
    asyncio.run(serve(port, ready, figures))
    return 0
