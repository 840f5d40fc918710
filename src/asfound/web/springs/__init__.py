"""The springs of a job: one file a task, put together here."""

from asfound.web.springs.routes import router

__all__ = ["router"]
