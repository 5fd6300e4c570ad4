"""What ``coach player`` takes."""

from __future__ import annotations

from coach.command_line import typed_numbers
from coach.command_line.shared_options import Commands, add_command


def _say_whole(sex: str) -> str:
    """Take a word's first letter for the word, as the screens do."""
    return {"f": "female", "m": "male"}.get(sex.casefold(), sex)


def add_player(commands: Commands) -> None:
    """Add the command and its options."""
    parser = add_command(
        commands,
        "player",
        "show and set the player",
        "coach player --height-cm 172 --age 30 --sex female",
    )
    parser.add_argument(
        "--height-cm",
        metavar="CM",
        type=typed_numbers.height,
        help="or as 5ft8; with age and sex: from these the capacity of your lungs is "
        "predicted",
    )
    parser.add_argument(
        "--age", metavar="YEARS", type=typed_numbers.measure, help="as the height"
    )
    parser.add_argument(
        "--sex",
        type=_say_whole,
        choices=("female", "male"),
        help="as the published equations have it; f and m will do",
    )
    parser.add_argument(
        "--capacity-l",
        metavar="LITRES",
        type=typed_numbers.measure,
        help="your lungs as they were measured",
    )
    parser.add_argument(
        "--long-tone",
        metavar="SECONDS",
        type=typed_numbers.measure,
        help="how long one tone lasts, mezzo-forte, from one full breath: F3 on a "
        "trombone; 'coach player' names the tone of yours",
    )
    parser.add_argument(
        "--loud-tone",
        metavar="SECONDS",
        type=typed_numbers.measure,
        help="besides that: how long another lasts, fortissimo: Bb3 on a trombone",
    )
    parser.add_argument(
        "--tongued",
        metavar="SECONDS",
        type=typed_numbers.measure,
        help="how long sixteenths at 100 last on one full breath, mezzo-forte, each "
        "tongued: D4 and F4 in turn, both in fourth position on a trombone",
    )
    parser.add_argument(
        "--in-twos",
        metavar="SECONDS",
        type=typed_numbers.measure,
        help="the same with only every second one tongued: what your tongue takes",
    )
    parser.add_argument("--instrument", metavar="NAME", help="trombone, horn, flute …")
    parser.set_defaults(may_be_new=True)
    air = parser.add_mutually_exclusive_group()
    air.add_argument(
        "--pin",
        metavar="FACTOR",
        type=typed_numbers.number,
        help="plan for this much of the flow",
    )
    air.add_argument(
        "--learned", action="store_true", help="plan for what the runs have taught"
    )
    air.add_argument(
        "--table", action="store_true", help="plan by table and long tones alone"
    )
    parser.add_argument(
        "--list", action="store_true", help="name all who play at this laptop"
    )
    parser.add_argument(
        "--reset-learning",
        action="store_true",
        help="learn from the runs of now on only; the log keeps all",
    )
    parser.add_argument("--json", action="store_true", help="for scripts")
