"""Configurations made by hand, offered to every test."""

from __future__ import annotations

import pytest
import samples

from sim.scene.parts import Configuration


@pytest.fixture
def one_piece() -> Configuration:
    return samples.one_piece()


@pytest.fixture
def two_piece() -> Configuration:
    return samples.two_piece()


@pytest.fixture
def three_piece() -> Configuration:
    return samples.three_piece()


@pytest.fixture
def car() -> Configuration:
    return samples.car()


@pytest.fixture
def links_van() -> Configuration:
    return samples.links_van()
