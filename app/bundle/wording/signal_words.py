"""What a signal is called: as its file has it, and one of the picture in the bundle's language."""

from __future__ import annotations

from app.bundle.wording.words import Words
from app.submission.shown_signals import ShownSignal, shown
from app.submission.submission import LoadedSubmission

NamedSignal = tuple[ShownSignal, str]  # and its title with its unit


def signal_title(signal: ShownSignal, words: Words) -> str:
    """Its title in the bundle's language where there is one, else its own."""
    return titled(signal.name, signal.signal.title, words)


def titled(name: str, title: str, words: Words) -> str:
    """The title of a signal by its name where the bundle's language has one, else its own."""
    return words.get(f"signal_{name.replace('-', '_')}", title)


def signal_words(signal: ShownSignal, words: Words) -> str:
    """Title and unit: "Seat, m"."""
    title = signal_title(signal, words)
    return f"{title}, {signal.unit}" if signal.unit else title


def named_signals(sent: LoadedSubmission, words: Words) -> tuple[NamedSignal, ...]:
    """The signals of a submission that are shown, with what they are called."""
    return tuple((signal, signal_words(signal, words)) for signal in shown(sent))
