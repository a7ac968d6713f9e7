"""What the decoding thread does: show the wished frame, then make ready what may come next."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from app.media.cache import FrameCache
from app.media.courier import EXACT, NEAR, Screen, ShownFrame
from app.media.decoder import Interrupted
from app.media.errors import MediaError
from app.media.picture import SmallFrame
from app.media.proxy import Proxy
from app.media.video import VideoFile, first_picture
from app.media.wishes import Wish, Wishes

_AHEAD = 24  # frames kept ready while going forward, which costs little to carry on
_LONG_BYTES = 64 * 2**20  # the index of a larger file takes longer than its first frame
_NEAR = 15  # a kept frame this near may stand in until the exact one is decoded
_STRIDE = 8  # a hand that moves on by more frames at a time is dragging, not stepping
LARGE_PIXELS = 5_000_000  # a decoder of larger pictures holds hundreds of megabytes
_REST_S = 0.08  # a hand still for so long rests; keys repeat within half of it


def early_frame(path: str | Path, box: tuple[int, int] = (960, 540)) -> ShownFrame | None:
    """The first frame of a long recording, to look at while its index is still to be read.

    None where the index is there as soon, or the frame cannot be told so simply.
    """
    try:
        if Path(path).stat().st_size <= _LONG_BYTES:
            return None
    except OSError:
        return None
    image = first_picture(path, *box)
    return None if image is None else ShownFrame(0, 0.0, image)


class Worker:
    """Serves wishes from an open recording, in the thread that calls `run`.

    Parameters
    ----------
    screen : takes each frame to show; kept ones are brought to it by somebody else as well
    complain : called once with a sentence when the recording is lost
    """

    def __init__(
        self,
        video: VideoFile,
        wishes: Wishes,
        cache: FrameCache,
        proxy: Proxy | None,
        screen: Screen,
        complain: Callable[[str], None],
    ) -> None:
        self._video = video
        self._second: VideoFile | None = None
        self._no_second = video.width * video.height > LARGE_PIXELS
        self._wishes = wishes
        self._cache = cache
        self._proxy = proxy
        self._screen = screen
        self._complain = complain
        self._served: Wish | None = None
        self._stands_in = False  # the quick copy's frame is on screen
        self._direction = 1
        self._stride = 0
        self._rests = False
        self._idle = True
        self._lost = False

    def run(self) -> None:
        """Serve until closing."""
        try:
            while not self._wishes.closing:
                wish = self._wishes.next(self._served, self._patience())
                if wish is not None:
                    self._rests = self._idle = False
                    self._serve(wish)
                elif self._idle and not self._rests:
                    self._rests, self._idle = True, False
                elif not self._wishes.closing:
                    self._idle = not self._prepare()
        finally:
            if self._second is not None:
                self._second.close()

    def _patience(self) -> float | None:
        """How long to wait for a wish, in seconds; None for good."""
        if not self._idle:
            return 0.0
        return None if self._rests or self._served is None else _REST_S

    def is_damaged(self, i: int) -> bool:
        """Whether frame `i`, decoded before, was damaged or stands for one that was."""
        return any(v.is_damaged(i) for v in (self._video, self._second) if v is not None)

    def _serve(self, wish: Wish) -> None:
        i = self._number(wish)
        self._follow(wish)
        self._served = wish
        self._stands_in = False
        small = self._cache.get(i, wish.box)
        if small is not None:
            self._show(wish, i, small)
        elif self._proxy is not None and self._proxy.holds(i):
            self._stands_in = True  # it is on its way to the screen
        else:
            self._show_nearest(i, wish)
            self._show_decoded(i, wish)

    def _follow(self, wish: Wish) -> None:
        """Learn from a wish where the hand goes."""
        if self._proxy is not None:
            self._proxy.near(self._number(wish))
        self._cache.resize(wish.box)
        if self._served is None:
            return
        if wish.box != self._served.box:
            self._screen.index = None
        elif wish.index != self._served.index:
            self._direction = 1 if wish.index > self._served.index else -1
            self._stride = abs(wish.index - self._served.index)

    def _number(self, wish: Wish) -> int:
        return wish.number(len(self._video.index))

    def _show_decoded(self, i: int, wish: Wish) -> None:
        try:
            self._show(wish, i, self._get(i, wish))
        except Interrupted as stopped:
            # The hand moves faster than the decoder: let it see where the decoder has come to.
            newest = self._wishes.newest
            small = self._cache.get(stopped.at, wish.box)
            if newest is not None and newest.box == wish.box and small is not None:
                self._show_if_nearer(stopped.at, small, newest)
        except MediaError as error:
            if not self._lost:  # what is kept is still shown
                self._lost = True
                self._complain(str(error))

    def _show(self, wish: Wish, i: int, small: SmallFrame, goodness: int = EXACT) -> None:
        if not self._screen.wants(wish, goodness):
            return
        shown = ShownFrame(
            index=i,
            time_s=float(self._video.index.time_s[i]),
            image_bgra=self._video.finish(small),
            damaged=self.is_damaged(i),
        )
        self._screen.show(wish, goodness, shown)

    def _show_nearest(self, i: int, wish: Wish) -> None:
        """Until the decoder has come to `i`, show a kept frame that is nearly it."""
        near = self._cache.nearest(i)
        if near is not None and abs(near[0] - i) <= _NEAR:
            self._show_if_nearer(*near, wish)

    def _show_if_nearer(self, j: int, small: SmallFrame, wish: Wish) -> None:
        here, wanted = self._screen.index, self._number(wish)
        if here is None or abs(j - wanted) < abs(here - wanted):
            self._show(wish, j, small, EXACT if j == wanted else NEAR)

    def _prepare(self) -> bool:
        """Do one piece of what is left to do; False when all is ready."""
        wish = self._served
        if wish is None or self._lost:
            return False
        if self._stands_in and self._rests:
            self._stands_in = False
            self._show_decoded(self._number(wish), wish)
            return True
        if self._stands_in and (self._direction < 0 or self._stride > _STRIDE):
            return False  # the quick copy keeps up with the hand; decoding could not
        missing = next((j for j in self._likely(wish) if j not in self._cache), None)
        if missing is None or self._keeps_up(missing):
            return False
        try:
            self._get(missing, wish)
        except Interrupted:
            return True
        except MediaError:
            return False
        return missing in self._cache

    def _keeps_up(self, i: int) -> bool:
        """Whether a hand going back is served without decoding, which would make it wait."""
        if self._rests or self._direction > 0 or self._proxy is None:
            return False
        return self._proxy.holds(i)

    def _likely(self, wish: Wish) -> list[int]:
        """Frames the hand may ask for next, likeliest first."""
        here, last = self._number(wish), len(self._video.index) - 1
        ahead, behind = self._cache.room(self._direction)
        if self._direction > 0:
            forth, back = min(_AHEAD, ahead), behind
        else:
            forth, back = min(_AHEAD, behind), ahead
        on = list(range(here + 1, min(here + forth, last) + 1))
        # The group before takes a second or more to decode: it must be begun early.
        before = list(range(here - 1, max(here - back, 0) - 1, -1))
        first, then = (on, before) if self._direction > 0 else (before, on)
        return first + then if self._rests else first

    def _get(self, i: int, wish: Wish) -> SmallFrame:
        """Frame `i` at display size; frames decoded on the way are kept as well.

        The next steps back will want those, and shrinking them costs a twentieth of decoding.
        """
        small = self._cache.get(i, wish.box)
        if small is not None:
            return small
        here = self._number(wish)
        ahead, behind = self._cache.room(self._direction)
        reach = behind if self._direction > 0 else ahead

        def passing(j: int, shrink: Callable[[], SmallFrame]) -> bool:
            if i - j <= reach and j not in self._cache:
                self._cache.put(j, shrink(), here, self._direction)
            return wish.same_picture(self._wishes.newest) and not self._wishes.closing

        small = self._reader(i, here).small(i, *wish.box, passing)
        self._cache.put(i, small, here, self._direction)
        return small

    def _reader(self, i: int, here: int) -> VideoFile:
        """The decoder that comes to `i` soonest.

        What lies behind the hand is fetched by a second one, so that going on is not delayed by
        having looked back.
        """
        if self._second is None and i < here and not self._no_second:
            try:
                self._second = self._video.another()
            except MediaError:
                self._no_second = True
        if self._second is None:
            return self._video
        first, second = self._video.frames_to(i), self._second.frames_to(i)
        return self._second if second < first or (second == first and i < here) else self._video
