"""Stands for a process that lays out and dies before it has written its files."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

from tests.page.processes.quick_worker import SHOWN

if __name__ == "__main__":
    drawn = {key: value for key, value in SHOWN.items() if key not in ("notes", "check", "files")}
    (Path(sys.argv[3]) / "first-drawn.json").write_text(json.dumps(drawn), encoding="utf-8")
    told = {"kind": "layout", "name": "first", "shown": "first-drawn.json", "whole": False}
    sys.stdout.write(json.dumps(told) + "\n")
    sys.stdout.flush()
    sys.stdin.readline()  # until it is told to stop
    os._exit(1)
