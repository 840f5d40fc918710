"""The focus of a job: one file a task, put together here."""

from asfound.web.focus.routes import router

__all__ = ["router"]
