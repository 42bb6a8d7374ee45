"""`import floorward` is the core by name, loaded when it is used."""

import subprocess
import sys

import pytest

import floorward


@pytest.mark.parametrize("name", floorward.__all__)
def test_every_public_name_is_there_and_documented(name):
    assert getattr(floorward, name).__doc__
    assert name in dir(floorward)


def test_an_unknown_name_says_so():
    with pytest.raises(AttributeError, match="pain_killer"):
        _ = floorward.pain_killer


def test_nothing_heavy_is_loaded_before_it_is_used():
    code = "import sys, floorward; print('numpy' in sys.modules, 'django' in sys.modules)"
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert said.split() == ["False", "False"]
