"""The guide to scripting does what it says: its code is run as it stands."""

import os
import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_code_of_the_guide_runs(tmp_path):
    guide = (ROOT / "docs" / "guide" / "script.md").read_text(encoding="utf-8")
    code = "\n".join(re.findall(r"```python\n(.*?)```", guide, flags=re.S))
    (tmp_path / "assets").symlink_to(ROOT / "assets", target_is_directory=True)
    (tmp_path / "guide.py").write_text(code, encoding="utf-8")
    run = subprocess.run(
        [sys.executable, "-W", "error", "guide.py"], cwd=tmp_path, capture_output=True,
        text=True, encoding="utf-8", timeout=120, env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    lines = run.stdout.splitlines()
    assert lines[0].startswith("Tyre digs 5.")
    assert any(line.startswith("contact ('tyre', 'tower lip')") for line in lines)
    assert (tmp_path / "camber.svg").is_file()
    assert (tmp_path / "report.pdf").is_file()
