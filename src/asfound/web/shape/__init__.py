"""Gaps, rings, the front standard and fits of a job: one file a task, put together here."""

from asfound.web.shape.routes import router

__all__ = ["router"]
