"""What the demonstration calls itself."""

import os

import pytest

from portal.bootstrap import launch
from portal.demo.dataset import ENVIRONMENT
from portal.demo.region import BOX


def test_country_box_holds_the_whole_region() -> None:
    west, south, east, north = map(float, ENVIRONMENT["DRILOSPHERE_COUNTRY_BOX"].split(","))

    assert west <= float(BOX[0]) < float(BOX[2]) <= east
    assert south <= float(BOX[1]) < float(BOX[3]) <= north


def test_demo_command_names_the_invented_dataset(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "environ", {"DRILOSPHERE_REGION": "My own region", "COLUMNS": "80"})

    with pytest.raises(SystemExit):
        launch._django(["manage.py", "demo", "--help"])

    assert os.environ["DRILOSPHERE_NOTICE"] == ENVIRONMENT["DRILOSPHERE_NOTICE"]
    assert os.environ["DRILOSPHERE_REGION"] == "My own region"


def test_other_commands_name_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "environ", {"COLUMNS": "80"})

    with pytest.raises(SystemExit):
        launch._django(["manage.py", "migrate", "--help"])

    assert "DRILOSPHERE_NOTICE" not in os.environ
