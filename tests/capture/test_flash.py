"""Flash contact and light on two channels of one file."""

import numpy as np
import pytest
import soundfile

from asfound.capture.flash import read_flash
from asfound.problems import BadInputError
from asfound.shutter import SoundInput, exposure_lasting, simulate


def test_each_firing_gets_its_verdict(tmp_path):
    shots = [exposure_lasting(t, opening_s=2e-3, closing_s=2e-3) for t in (1 / 30, 1 / 60)]
    light, truths = simulate(shots, SoundInput(noise_rms=0.003))
    time = np.arange(light.size) / 48_000
    contact = np.random.default_rng(1).normal(0, 0.002, light.size)
    for truth, after in zip(truths, (2.5e-3, 1.0e-3), strict=True):
        begin = truth.start_s + after
        contact += 0.5 * ((time >= begin) & (time < begin + 8e-3))
    soundfile.write(tmp_path / "a.wav", np.stack([light, contact], axis=1), 48_000)
    found = read_flash(tmp_path / "a.wav", setting="X")
    assert [result.verdict for result in found.results] == ["within", "outside"]
    assert found.results[0].after_full_s == pytest.approx(5e-4, abs=1e-4)
    assert found.results[1].contact.dwell_s == pytest.approx(8e-3, abs=1e-4)


def test_one_channel_is_not_enough(tmp_path):
    light, _ = simulate([exposure_lasting(0.05)], SoundInput())
    soundfile.write(tmp_path / "a.wav", light, 48_000)
    with pytest.raises(BadInputError, match="two channels"):
        read_flash(tmp_path / "a.wav", setting="X")
