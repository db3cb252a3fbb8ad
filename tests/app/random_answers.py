"""What a builder answers where the program asks, drawn at random."""

from __future__ import annotations

import random
from pathlib import Path

from PySide6.QtWidgets import QDialog, QMessageBox

from app.window.importing import ScanCard

NONSENSE = (
    "", "0", "-0", "1e9", "-1e9", "nan", "inf", "3 1/", "3 1/4 in", "1/0", "9**9**9", "--5", "12,5",
    "12.5.5", "abc", "\u221a2", "1" * 400, "80+25.4", "(((", "0x10", "5 mm 5", "-", "245/40R17",
    "\U0001f4cf", "250", "12", "600",
)  # fmt: skip


class Answers:
    """What a builder answers where the program asks: a file in a folder, some words, or nothing."""

    def __init__(self, folder: Path, mesh: Path) -> None:
        self.folder, self.mesh = folder, mesh
        self.dice = random.Random(0)

    def save(self, parent: object, title: str, start: str, kinds: str) -> tuple[str, str]:
        """Where to write."""
        if self.dice.random() < 0.4:
            return "", ""
        kind = self.dice.choice(kinds.split(";;"))
        if ".corner.json" in kind or "*)" in kind.replace("*.", ""):
            return str(self.folder / f"car {self.dice.randrange(3)}.corner.json"), kind
        return str(self.folder / f"out.{kind.split('*.')[1][:3]}"), kind

    def open(self, parent: object, title: str, start: str, kinds: str) -> tuple[str, str]:
        """What to read: something that was written before, or something else."""
        found = sorted(p for p in self.folder.iterdir() if p.is_file())
        if not found or self.dice.random() < 0.5:
            return "", ""
        return str(self.dice.choice(found)), kinds.split(";;")[0]

    def words(self, parent: object, title: str, what: str) -> tuple[str, bool]:
        """A line typed."""
        return self.dice.choice(NONSENSE)[:40], self.dice.random() < 0.7

    def scan(self, card: ScanCard) -> QDialog.DialogCode:
        """Unit and carrier of a mesh, on the card that asks for them."""
        if self.dice.random() < 0.2:
            return QDialog.DialogCode.Rejected
        card.unit.setCurrentText(self.dice.choice(("mm", "in")))
        return QDialog.DialogCode.Accepted

    def leave(self) -> QMessageBox.StandardButton:
        """Whether unsaved changes are saved, given up or stayed with."""
        buttons = QMessageBox.StandardButton
        return self.dice.choice((buttons.Save, buttons.Discard, buttons.Discard, buttons.Cancel))
