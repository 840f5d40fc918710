"""A page is a typed context: each template and its dataclass know the same names."""

import dataclasses
import typing

import pytest
from jinja2 import meta, nodes

from asfound.web.bench_mode.page import BenchPage
from asfound.web.bundles import BundlesPage
from asfound.web.camera_form import CameraForm
from asfound.web.devices.page import DevicesPage, PairPage
from asfound.web.drawer.page import DrawerPage
from asfound.web.finding import FoundPage
from asfound.web.findings_page import FindingsPage
from asfound.web.focus.photographs import PhotographsPage
from asfound.web.handover_page import HandoverPage
from asfound.web.instruments_page import InstrumentsPage
from asfound.web.job_page import JobPage
from asfound.web.jobs_page import JobsPage
from asfound.web.live.page import LivePage
from asfound.web.photographs.page import PhotoPage
from asfound.web.proofs_page import ProofsPage
from asfound.web.render import FOLDER, ErrorPage, Frame, environment
from asfound.web.room import RoomPage
from asfound.web.shape.leaks import LeaksPage
from asfound.web.shutter.page import ShutterPage
from asfound.web.wayback_page import WayBackPage

CONTEXTS = {
    "bench_mode.html": BenchPage,
    "bundles.html": BundlesPage,
    "devices.html": DevicesPage,
    "drawer.html": DrawerPage,
    "error.html": ErrorPage,
    "findings.html": FindingsPage,
    "found.html": FoundPage,
    "focus_photographs.html": PhotographsPage,
    "handover.html": HandoverPage,
    "instruments.html": InstrumentsPage,
    "job.html": JobPage,
    "jobs.html": JobsPage,
    "photo.html": PhotoPage,
    "pair.html": PairPage,
    "live.html": LivePage,
    "proofs.html": ProofsPage,
    "room.html": RoomPage,
    "shape_leaks.html": LeaksPage,
    "shutter.html": ShutterPage,
    "wayback.html": WayBackPage,
}
SHARED = ("base.html", "pins.html", "steps.html", "fields.html", "parts.html")
# The camera's form is read by the names of its fields.
BY_NAME = {f"CameraForm.{name}" for name in CameraForm.names()}


def test_every_template_has_its_context() -> None:
    assert {path.name for path in (FOLDER / "templates").iterdir()} == {*CONTEXTS, *SHARED}


def parsed(template: str) -> nodes.Template:
    source, _, _ = environment().loader.get_source(environment(), template)  # type: ignore[union-attr]
    return environment().parse(source)


def read_of(tree: nodes.Template, name: str) -> set[str]:
    found = tree.find_all(nodes.Getattr)
    return {node.attr for node in found if isinstance(node.node, nodes.Name) and node.node.name == name}


def made_in(tree: nodes.Template) -> set[str]:
    """Return the names that a template makes itself: its macros, what it imports, what it sets."""
    macros = {node.name for node in tree.find_all(nodes.Macro)}
    imported = {node.target for node in tree.find_all(nodes.Import)}
    stored = {node.name for node in tree.find_all(nodes.Name) if node.ctx == "store"}
    return macros | imported | stored


@pytest.mark.parametrize("template", CONTEXTS)
def test_a_template_reads_every_field_of_its_page_and_no_other(template: str) -> None:
    fields = {field.name for field in dataclasses.fields(CONTEXTS[template])}
    assert read_of(parsed(template), "page") == fields


@pytest.mark.parametrize("template", [*CONTEXTS, *SHARED])
def test_a_template_reads_nothing_but_its_frame_and_its_page(template: str) -> None:
    tree = parsed(template)
    assert meta.find_undeclared_variables(tree) - made_in(tree) <= {"frame", "page"}
    assert read_of(tree, "frame") <= {field.name for field in dataclasses.fields(Frame)}


@pytest.mark.parametrize("context", [*CONTEXTS.values(), Frame])
def test_a_context_cannot_be_changed(context: type) -> None:
    assert context.__dataclass_params__.frozen  # type: ignore[attr-defined]
    assert "__slots__" in context.__dict__


def parts_of(kind: object, seen: dict[type, set[str]]) -> dict[type, set[str]]:
    """Return the pages' own dataclasses in a type, with their fields."""
    for inner in typing.get_args(kind):
        parts_of(inner, seen)
    ours = isinstance(kind, type) and dataclasses.is_dataclass(kind) and kind.__module__.startswith("asfound.web")
    if ours and kind not in seen:
        seen[kind] = {field.name for field in dataclasses.fields(kind)}
        for hint in typing.get_type_hints(kind).values():
            parts_of(hint, seen)
    return seen


def test_everything_that_a_page_is_given_is_shown_somewhere() -> None:
    read = {node.attr for name in (*CONTEXTS, *SHARED) for node in parsed(name).find_all(nodes.Getattr)}
    given = parts_of(tuple[tuple(CONTEXTS.values())], {})  # type: ignore[misc]
    assert len(given) > 15
    unread = {f"{kind.__name__}.{name}" for kind, fields in given.items() for name in fields - read}
    assert unread - BY_NAME == set()
