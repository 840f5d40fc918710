from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from asfound.capture.ground_glass import middle, read_grey, series_sharpness
from asfound.problems import BadInputError


def save(path: Path, grey: np.ndarray, **options: object) -> Path:
    Image.fromarray(grey.astype(np.uint8)).save(path, **options)
    return path


def test_a_photograph_is_read_as_grey_from_none_to_one(tmp_path: Path) -> None:
    grey = read_grey(save(tmp_path / "a.png", np.array([[0, 255], [51, 102]])))
    assert grey.tolist() == pytest.approx(np.array([[0, 1], [0.2, 0.4]]))


def test_a_photograph_is_turned_the_right_way_up(tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned a quarter clockwise
    path = tmp_path / "a.png"
    save(path, np.array([[0, 255, 255]]), exif=exif)
    assert read_grey(path).tolist() == [[0], [1], [1]]


def test_sixteen_bits_are_not_cut_to_eight(tmp_path: Path) -> None:
    path = tmp_path / "a.png"
    Image.fromarray(np.array([[0, 30000, 60000]], dtype=np.uint16)).save(path)
    assert read_grey(path).tolist() == [pytest.approx([0, 0.5, 1])]


def test_a_colour_photograph_is_made_grey(tmp_path: Path) -> None:
    path = tmp_path / "a.png"
    Image.new("RGBA", (2, 2), (255, 255, 255, 128)).save(path)
    assert read_grey(path).tolist() == [[1, 1], [1, 1]]


def test_the_middle_is_in_the_middle() -> None:
    grey = np.arange(64, dtype=np.float32).reshape(8, 8)
    assert middle(grey, share=0.5).tolist() == grey[2:6, 2:6].tolist()


def test_a_blurred_photograph_of_the_same_is_less_sharp(tmp_path: Path) -> None:
    sharp = np.kron(np.indices((16, 16)).sum(axis=0) % 2, np.ones((8, 8))) * 200 + 20
    soft = np.asarray(Image.fromarray(sharp.astype(np.uint8)).resize((16, 16)).resize((128, 128)))
    paths = [save(tmp_path / "sharp.png", sharp), save(tmp_path / "soft.png", soft)]
    first, second = series_sharpness(paths)
    assert first > second


def test_photographs_of_different_sizes_are_refused_by_name(tmp_path: Path) -> None:
    noise = np.random.default_rng(0).integers(1, 255, (64, 64))
    paths = [save(tmp_path / "one.png", noise), save(tmp_path / "two.png", noise[:, :48])]
    with pytest.raises(BadInputError, match=r"two\.png: it is 48 x 64 pixels, the first 64 x 64"):
        series_sharpness(paths)


def test_a_missing_photograph_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInputError, match="no such file"):
        read_grey(tmp_path / "none.jpg")


def test_a_text_is_no_photograph(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_text("f/3.5 at infinity")
    with pytest.raises(BadInputError, match="no photograph that can be read"):
        read_grey(path)


def test_a_photograph_cut_short_is_refused(tmp_path: Path) -> None:
    path = save(tmp_path / "a.png", np.random.default_rng(0).integers(0, 255, (200, 200)))
    path.write_bytes(path.read_bytes()[:5000])
    with pytest.raises(BadInputError, match="the photograph is damaged"):
        read_grey(path)


@pytest.mark.parametrize("share", [0.0, -0.5, 1.5])
def test_a_region_that_is_no_share_is_refused(share: float) -> None:
    with pytest.raises(BadInputError, match="region"):
        middle(np.zeros((8, 8), dtype=np.float32), share=share)
