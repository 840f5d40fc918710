"""What the pages need to know of where they are served."""

from dataclasses import dataclass

LOOPBACK = frozenset({"127.0.0.1", "localhost", "::1"})
MEBIBYTE = 1024 * 1024


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """How the bench page is served.

    Attributes
    ----------
    secret : bytes
        Signs the tokens of the forms; kept between starts, so that a page left open overnight can still be sent.
    hosts : frozenset of str
        Names by which a browser may call this server.
    address : str
        Where paired devices on the workshop's network find the pages, "http://192.0.2.7:8642"; empty while it is
        open to this computer alone.
    form_bytes, photo_bytes, recording_bytes : int
        The largest body taken of a plain form, of photographs sent together or a recorded tick, of a recording or
        bundle.
    """

    secret: bytes
    hosts: frozenset[str] = LOOPBACK
    address: str = ""
    form_bytes: int = MEBIBYTE
    photo_bytes: int = 256 * MEBIBYTE
    recording_bytes: int = 2048 * MEBIBYTE

    def largest_body(self, path: str) -> int:
        """Return how many bytes a request to `path` may bring."""
        if path.endswith(("/photos", "/clock")):
            return self.photo_bytes
        if path.endswith(("/recordings", "/bundles")):
            return self.recording_bytes
        return self.form_bytes


def show_bytes(size: int) -> str:
    """Return a size as people read it."""
    if size >= MEBIBYTE:
        return f"{size / MEBIBYTE:.3g} MiB" if size < 1024 * MEBIBYTE else f"{size / (1024 * MEBIBYTE):.3g} GiB"
    return f"{size / 1024:.3g} KiB" if size >= 1024 else f"{size} bytes"
