"""The table of channels that `airside check` prints."""

import numpy as np
from logger_files_made import MORE, ROWS, lines, read, table, write
from rich.console import Console

from airside.show.log_table import print_log


def shown(log, units="SI"):
    console = Console(markup=False, highlight=False, width=120, force_terminal=False)
    with console.capture() as capture:
        print_log(console, log, units)
    return " ".join(capture.get().split())


def test_channels_gaps_and_what_was_set_aside(tmp_path):
    write(tmp_path, lines(*ROWS, "2026-07-14 10:04:00;err 5;55", *MORE[1:20], "# pause", *MORE[30:]))
    said = shown(read(tmp_path))
    assert said.startswith("Logger files (the loggers' own clock; 50 times every 1 min)")
    assert "return dry bulb 2026-07-14 10:00 1 min 49 2 24.1 °C 24.6 °C 2026-07-14 10:59" in said
    assert "return relative humidity 2026-07-14 10:00 1 min 50 1 50.0 % 55.0 % 2026-07-14 10:59" in said
    assert (
        "return.csv, readings.return.dry_bulb: 2026-07-14 10:03:00 to 2026-07-14 10:05:00; 2026-07-14 10:23:00 to "
        "2026-07-14 10:34:00." in said
    )
    assert "return.csv, readings.return.dry_bulb: text in a number column: 1 (row 6 (err 5))." in said
    assert "return.csv, all channels: comment: 1 (row 26 (# pause))." in said


def test_range_in_the_display_unit(tmp_path):
    write(tmp_path, lines(*ROWS))
    assert "75.4 °F 75.9 °F" in shown(read(tmp_path), "IP")


def test_clocks_of_two_files_are_compared(tmp_path):
    on = (np.arange(240) // 20) % 2
    stamps = [f"2026-07-14 {10 + m // 60}:{m % 60:02}:00" for m in range(240)]
    write(tmp_path, "time;t\n" + "".join(f"{s};{20 + v}\n" for s, v in zip(stamps, on, strict=True)), "a.csv")
    late = np.concatenate([on[:4], on[:-4]])
    write(tmp_path, "time;t\n" + "".join(f"{s};{15 - 5 * v}\n" for s, v in zip(stamps, late, strict=True)), "b.csv")
    said = shown(read(tmp_path, return_air=table("a.csv", dry_bulb="t"), supply=table("b.csv", dry_bulb="t")))
    assert "The clock of b.csv is 240 s" in said and "ahead of that of a.csv" in said
    assert 'to apply it, write clock_offset = -240 in [log.files."b.csv"].' in said
