"""Every refrigerant in turn."""

from __future__ import annotations

import pytest

from airside.refrigerant.names import REFRIGERANTS, Refrigerant


@pytest.fixture(params=list(REFRIGERANTS))
def refrigerant(request: pytest.FixtureRequest) -> Refrigerant:
    return REFRIGERANTS[request.param]
