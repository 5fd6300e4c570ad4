"""A command with the name of an etude, so that it can be copied into a shell."""

from __future__ import annotations

from shlex import quote

QUOTED = "\\'"


def copied(command: str, etude: str, options: str = "") -> str:
    r"""Write a command as a shell takes it, whatever the etude is called.

    Parameters
    ----------
    etude : str
        Its name; one that begins with a dash is no option, and signs that would
        command the terminal are spelled out.

    Examples
    --------
    >>> copied("rehearse", "low road"), copied("plan", "-dash", "--check")
    ("coach rehearse 'low road'", 'coach plan --check -- -dash')
    """
    name = quote(etude) if etude.isprintable() else _spelled_out(etude)
    is_dashed = etude.startswith("-")
    words = (options, "--", name) if is_dashed else (name, options)
    return " ".join(filter(None, ("coach", command, *words)))


def _spelled_out(name: str) -> str:
    """Write a name in the quotes that know escapes."""
    signs = (
        sign if sign.isprintable() and sign not in QUOTED else f"\\U{ord(sign):08x}"
        for sign in name
    )
    return f"$'{''.join(signs)}'"
