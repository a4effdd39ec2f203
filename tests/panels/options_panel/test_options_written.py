"""What the options panel writes, for the estimator and for the client."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

from csv_back import read_back

from mytakeoff.options import in_words
from mytakeoff.options.table import options_frame
from mytakeoff.panels import OptionsPanel
from mytakeoff.resources import workbooks_folder


def test_export_reads_back_equal(panel: OptionsPanel, tmp_path: Path) -> None:
    panel.view.value = "estimator"
    written = panel.export(tmp_path)
    panel.view.value = "client"
    assert written[0].name == "options.csv"
    back, frame = read_back(written[0]), options_frame(panel.options, panel.sure)
    assert back["option"].tolist() == frame["option"].tolist()
    for column in (
        "price",
        "price_low_10",
        "price_middle_50",
        "price_high_90",
        "litres_high_90",
        "bags_low_10",
    ):
        assert [Decimal(value) for value in back[column]] == frame[column].tolist()
    assert {path.suffix for path in written[1:]} == {".png", ".svg"}
    assert all(path.stat().st_size > 5000 for path in written[1:])


def test_what_is_written_in_the_client_s_view_is_for_the_client(panel: OptionsPanel, tmp_path: Path) -> None:
    written = panel.export(tmp_path)
    assert all("-client" in path.name for path in written)
    back = read_back(written[0])
    assert set(back["shown_to"]) == {"client"}
    assert back["in_words"].tolist() == [in_words.sentence(option) for option in panel.work.done]
    assert back["verdict"].tolist() == [in_words.verdict(option) for option in panel.work.done]
    assert not {"bags", "litres", "dry_kg", "days"} & set(back.columns)
    for sheet in written[2::2]:
        assert "For the client: " in sheet.read_text(encoding="utf-8")
        assert "bags" not in sheet.read_text(encoding="utf-8")


def test_nothing_is_written_before_the_ranges_are_there(own_panel: OptionsPanel, tmp_path: Path) -> None:
    own_panel.work.sure.popitem()
    assert own_panel.export(tmp_path) == ()
    assert list(tmp_path.glob("options*")) == []
    assert "wait a moment" in own_panel.said.value


def test_the_workbook_names_the_files_that_each_view_writes(panel: OptionsPanel, tmp_path: Path) -> None:
    told = (workbooks_folder() / "options.ipynb").read_text(encoding="utf-8")
    for view in ("client", "estimator"):
        panel.view.value = view
        assert f"`{panel.export(tmp_path)[0].name}`" in told
    assert "client's sheet" not in told  # the estimator's view writes sheets with litres and bags
