"""A client of the studio's, and its designer signed in."""

from __future__ import annotations

import pytest

from tests.factories import ClientFactory


@pytest.fixture
def client_row(cast):
    return ClientFactory(studio=cast.studio, name="Ines Marlow")


@pytest.fixture
def designer(cast, client_of):
    return client_of(cast.designer)
