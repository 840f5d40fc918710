"""The shutter of a job: recordings and the dial, why it is off, the next move, stopped down, flash."""

from asfound.web.shutter.routes import router

__all__ = ["router"]
