"""The drawer: springs, screws, felt and donors of this bench, for all its jobs."""

from asfound.web.drawer.routes import router

__all__ = ["router"]
