"""A command that a shell takes, whatever an etude is called."""

from __future__ import annotations

import subprocess

import pytest

from coach.plain.copied_command import copied


@pytest.mark.parametrize(
    "name",
    ["low-road", "low road", "-dash", "--bars", "it's", "a\nb", "a'\x1b[31m\\", "é"],
)
def test_a_shell_gives_the_name_back_and_a_terminal_is_not_commanded(name: str) -> None:
    command = copied("plan", name, "--transpose -12")
    assert command.isprintable()
    script = f"coach() {{ printf '%s|' \"$@\"; }}; {command}"
    given = subprocess.run(
        ["bash", "-c", script],
        capture_output=True,
        check=True,
        env={"LC_ALL": "C.UTF-8"},
    ).stdout.decode()
    first, *words = given.split("|")[:-1]
    assert first == "plan"
    options = ["--transpose", "-12"]
    is_dashed = name.startswith("-")
    assert words == ([*options, "--", name] if is_dashed else [name, *options])
