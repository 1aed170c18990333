"""Every story, and the dialogue in README.md, played over the terminal's conversation; the stories over both databases."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.stories.dialogue import Differs, blocks, play, story

HERE = Path(__file__).parent
README = HERE.parent.parent / "README.md"
STORIES = sorted(HERE.glob("*.txt"))


@pytest.mark.parametrize("path", STORIES, ids=lambda path: path.stem)
def test_story(path: Path, tmp_path: Path) -> None:
    dialogue = story(path.read_text(encoding="utf-8"))
    assert any(step.wanted or step.events for step in dialogue.steps), "a story that expects nothing"
    play(dialogue, tmp_path / "story.db")


@pytest.mark.parametrize("path", STORIES, ids=lambda path: path.stem)
def test_story_on_a_server(path: Path, migrated_server_address: str) -> None:
    play(story(path.read_text(encoding="utf-8")), migrated_server_address)


def test_there_are_stories() -> None:
    assert len(STORIES) >= 12


def test_readme_dialogue(tmp_path: Path) -> None:
    dialogues = blocks(README.read_text(encoding="utf-8"))
    assert dialogues
    for number, dialogue in enumerate(dialogues):
        assert any(step.answer for step in dialogue.steps)
        play(dialogue, tmp_path / f"readme{number}.db")


@pytest.mark.parametrize(
    ("line", "complaint"),
    [
        ("< words that no answer has", "is missing"),
        ("! tray 3", "must not be there"),
        ("events: repotted", "not repotted"),
    ],
)
def test_a_wrong_story_fails(line: str, complaint: str, tmp_path: Path) -> None:
    with pytest.raises(Differs, match=complaint):
        play(story(f"@ 2026-04-15T10:40\n> watered tray 3\n{line}\n"), tmp_path / "wrong.db")


def test_an_unreadable_story_fails() -> None:
    with pytest.raises(ValueError, match="line 2"):
        story("> watered tray 3\nand then?\n")
