import importlib.util
from pathlib import Path

import pytest

from hushwalk.morning.report import Report

_spec = importlib.util.spec_from_file_location("made_report", Path(__file__).parents[2] / "made_report.py")
made = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(made)


@pytest.fixture(scope="session")
def report() -> Report:
    return made.made_report()


@pytest.fixture(scope="session")
def naughty_report() -> Report:
    return made.made_report(title=made.NAUGHTY)


@pytest.fixture(scope="session")
def long_report() -> Report:
    return made.made_report(scale=(6.0, 6.0), cells=1200)


@pytest.fixture(scope="session")
def wide_report() -> Report:
    return made.made_report(scale=(2.6, 1.2), cells=500)
