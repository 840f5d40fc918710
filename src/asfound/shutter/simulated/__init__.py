"""Shutters and recordings made up with a known truth, to try every measurement and judgement on."""
