"""Metered use against design: readings to daily heat balances, these to heat-loss coefficients, these to verdicts.

Pure arithmetic with numpy. The serving process never imports this package: verdicts run in a child process.
"""
