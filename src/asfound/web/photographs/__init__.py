"""Photographs on the pages: shown with their pins, pinned, and placed at their steps."""

from asfound.web.photographs.page import router

__all__ = ["router"]
