"""Why a dial is off: competing causes, and the test that tells them apart."""
