"""The microphone: which there are, and its samples as they come, 48 kHz, one channel, 16 bits."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QCoreApplication, QIODevice, QObject, QTimer, Signal

from app.review.voice import BYTES, RATE_HZ

if TYPE_CHECKING:
    from PySide6.QtMultimedia import QAudioDevice

# Two seconds. What does not fit while the window is busy is dropped and leaves a hole in what was
# said, so it must outlast the longest block; it does not delay the first samples.
BUFFER_BYTES = 2 * RATE_HZ * BYTES
POLL_MS = 20
# A microphone that gave nothing for so long will give nothing.
PATIENCE_MS = 3000
NONE = (
    "No microphone was found; plug one in, or switch it on in the system's sound settings, and "
    "press O again."
)
NO_SOUND_SYSTEM = "This computer has no sound system that can record; notes can still be typed."
REFUSED = (
    "The system refuses the microphone to this program; allow it in the privacy settings and press "
    "O again."
)
ASKED = "Allow the microphone in the system's question, then press O again."
BUSY = "The microphone {name} could not be opened; another program may hold it, so close that one."
DUMB = "The microphone {name} gives no sound; choose another one in the Submission menu."
GONE = "The microphone {name} is gone."


class NoMicrophone(ValueError):
    """There is nothing to record with; the message says what to do."""


class Microphone(QObject):
    """An open microphone.

    Parameters
    ----------
    device : gives the samples, little-endian
    end : lets go of whatever is behind the device
    """

    heard = Signal(bytes)  # whole samples
    lost = Signal(str)  # a sentence; nothing more will come

    def __init__(
        self,
        name: str,
        device: QIODevice,
        end: Callable[[], None],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.name = name
        self._device = device
        self._end: Callable[[], None] | None = end
        self._rest = b""
        self._patience = QTimer(self)
        self._patience.setSingleShot(True)
        self._patience.timeout.connect(lambda: self.lose(DUMB.format(name=name)))
        self._patience.start(PATIENCE_MS)
        device.readyRead.connect(self._read)
        # A buffer that filled up while the window was busy never says again that it has something.
        self._poll = QTimer(self)
        self._poll.timeout.connect(self._read)
        self._poll.start(POLL_MS)

    def close(self) -> None:
        """Give what is still to come and let go."""
        if self._end is None:
            return
        self._poll.stop()
        self._device.readyRead.disconnect(self._read)
        self._read()
        # After the last samples, which start it once more.
        self._patience.stop()
        end, self._end = self._end, None
        end()

    def lose(self, sentence: str) -> None:
        """Say that nothing more will come, unless it was let go of before."""
        if self._end is not None:
            self.lost.emit(sentence)

    def _read(self) -> None:
        data = self._rest + bytes(self._device.readAll().data())
        whole = len(data) // BYTES * BYTES
        self._rest = data[whole:]
        if whole:
            self._patience.start(PATIENCE_MS)
            self.heard.emit(data[:whole])


class Microphones:
    """The microphones of this computer."""

    def names(self) -> list[str]:
        """What the system calls them, the usual one first."""
        return [device.description() for device in _devices()]

    def open(self, wanted: str, parent: QObject) -> Microphone:
        """Open the microphone of that name, or the usual one where it is not there.

        Raises
        ------
        NoMicrophone
            There is none, or it is refused.
        """
        devices = _devices()
        if not devices:
            raise NoMicrophone(NONE)
        _ask_permission()
        chosen = next((d for d in devices if d.description() == wanted), devices[0])
        return _open(chosen, parent)


def _devices() -> list[QAudioDevice]:
    try:
        from PySide6.QtMultimedia import QMediaDevices
    except ImportError as error:
        raise NoMicrophone(NO_SOUND_SYSTEM) from error
    usual = QMediaDevices.defaultAudioInput()
    return sorted(QMediaDevices.audioInputs(), key=lambda device: device != usual)


def _ask_permission() -> None:
    from PySide6.QtCore import QMicrophonePermission, Qt

    app = QCoreApplication.instance()
    if app is None:
        return
    status = app.checkPermission(QMicrophonePermission())
    if status == Qt.PermissionStatus.Denied:
        raise NoMicrophone(REFUSED)
    if status == Qt.PermissionStatus.Undetermined:
        app.requestPermission(QMicrophonePermission(), app, lambda _permission: None)
        raise NoMicrophone(ASKED)


def _open(chosen: QAudioDevice, parent: QObject) -> Microphone:
    from PySide6.QtMultimedia import QAudioFormat, QAudioSource, QtAudio

    name = chosen.description()
    form = QAudioFormat()
    form.setSampleRate(RATE_HZ)
    form.setChannelCount(1)
    form.setSampleFormat(QAudioFormat.SampleFormat.Int16)
    source = QAudioSource(chosen, form, parent)
    source.setBufferSize(BUFFER_BYTES)
    device = source.start()
    if source.error() != QtAudio.Error.NoError:
        source.deleteLater()
        raise NoMicrophone(BUSY.format(name=name))

    def end() -> None:
        source.stop()
        source.deleteLater()

    microphone = Microphone(name, device, end, parent)

    # Without the signal's own argument: PySide 6.11 cannot hand a QAudio.State over.
    def watch() -> None:
        if source.error() != QtAudio.Error.NoError:
            microphone.lose(GONE.format(name=name))

    source.stateChanged.connect(watch)
    return microphone
