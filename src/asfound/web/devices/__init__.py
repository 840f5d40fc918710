"""Devices on the workshop's network: the door, pairing, and the list of those let in."""

from asfound.web.devices.door import admit
from asfound.web.devices.page import router

__all__ = ["admit", "router"]
