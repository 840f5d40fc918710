"""How Debian's Chromium is started: without a screen's hardware, and asking nobody on the network for anything."""

from typing import Final

FLAGS: Final = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
