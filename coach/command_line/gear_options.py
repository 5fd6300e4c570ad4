"""What ``coach gear`` takes."""

from __future__ import annotations

from coach.command_line.shared_options import Commands, add_command


def add_gear(commands: Commands) -> None:
    """Add the command and its options."""
    parser = add_command(
        commands, "gear", "show ports, sound and microphones", "coach gear --test"
    )
    parser.add_argument("--json", action="store_true", help="for scripts")
    parser.add_argument(
        "--test", action="store_true", help="play ten seconds and tell how late it was"
    )
    parser.add_argument(
        "--calibrate",
        action="store_true",
        help="play clicks, hear them, and keep how late the microphone hears",
    )
    parser.add_argument(
        "--midi-out", metavar="NAME", help="where the click goes; or none"
    )
    parser.add_argument(
        "--midi-in", metavar="NAME", help="the pedal's port; any or none"
    )
    parser.add_argument(
        "--sound",
        choices=("auto", "on", "off"),
        help="the built-in sound; auto: when no MIDI port is open",
    )
    parser.add_argument(
        "--sound-out", metavar="NAME", help="sound device; none for usual"
    )
    parser.add_argument("--microphone", metavar="NAME", help="none for the usual one")
    parser.add_argument(
        "--listen", choices=("on", "off"), help="hear runs from the start"
    )
    parser.add_argument(
        "--throw-takes-away",
        action="store_true",
        help="throw away all recordings of runs that are kept",
    )
    parser.add_argument(
        "--follow", choices=("on", "off"), help="note breaths heard while you play"
    )
    parser.add_argument(
        "--stop-with-me", choices=("on", "off"), help="stop when you have stopped"
    )
    parser.add_argument(
        "--loudness", choices=("on", "off"), help="louder empties the gauge faster"
    )
    parser.add_argument(
        "--start-by",
        choices=("note", "knock", "off"),
        help="what begins a run: a held note, or two knocks",
    )
    parser.add_argument(
        "--keep-takes", choices=("on", "off"), help="keep what was heard as files"
    )
