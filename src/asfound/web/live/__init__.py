"""Live firing on a page: what is settled before, the connection while firing, what was left."""

from asfound.web.live.routes import router

__all__ = ["router"]
